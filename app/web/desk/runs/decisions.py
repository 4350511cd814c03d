"""Deciding about runs in the open: every flagged run with its reasons, and what a decision would do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext, ngettext

from app.physics.reading.readings import ReadingProblem
from app.physics.run import QUANTITIES
from app.practicals.board.what_if import with_every_run
from app.practicals.runs import whole_bench
from app.practicals.runs.decisions import (
    DecidedMeanwhile,
    RunOfAnotherTime,
    SavedDecision,
    count_again,
    decided_runs,
    last_decisions,
    set_aside,
)
from app.practicals.runs.entry import ImpossibleReading
from app.practicals.runs.reading import RunDetails
from app.practicals.runs.refusals import PracticalClosed, ReasonMissing, RunChangedMeanwhile
from app.practicals.runs.sending import correct_run
from app.practicals.runs.slip_undone import entry_with
from app.records.errors import NotFound, Problem, Unprocessable
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, page, refusal_on_next_page, snapshot_here
from app.web.desk.lesson.view import held_back_by_bench
from app.web.desk.runs.cases import Asked, decisions_of
from app.web.forms import NoRevision, NotAButton, bench_number, new_key, pressed, seen_revision
from app.web.storage import database
from app.words import N_, Message

ACTIONS = {"set-aside": set_aside, "count": count_again}
LONGEST_KEPT = 1000
EVERY_RUN = "all"
"""In place of a run's number: work out the result with every run."""


class RunGone(NotFound):
    """The page is of a run that has gone since."""

    sentence = N_(
        "This run is no longer there, so nothing was decided. Simulated runs go when the rehearsal ends,"
        " or when a real run comes in."
    )


class NoBenchChosen(Unprocessable):
    """The form names no bench."""

    sentence = N_("Choose the bench whose runs are to be set aside. Nothing was changed.")


CHANGED_MEANWHILE = (
    DecidedMeanwhile,
    RunOfAnotherTime,
    RunChangedMeanwhile,
    whole_bench.NothingToSetAside,
    whole_bench.BenchChangedMeanwhile,
)
"""Refusals because the page no longer shows how things stand."""
CORRECTION_REFUSED = (ImpossibleReading, ReadingProblem, ReasonMissing, PracticalClosed, NoRevision)


@dataclass(frozen=True)
class Refused:
    """What was not done: about which run (None: a whole bench), why, and what had been typed."""

    problem: Message
    reason: str
    run: int | None = None
    bench: int = 0


@blueprint.get("/<int:practical_id>/decisions")
@audience("teacher")
def decisions(practical_id: int) -> ResponseReturnValue:
    """A page of the flagged runs and one of those decided about; `run` leads to the page of that run."""
    asked = Asked(
        open_page=request.args.get("page", 1, int),
        decided_page=request.args.get("decided", 1, int),
        run=request.args.get("run", type=int),
        effects=request.args.get("effects", type=int),
    )
    return _decisions(practical_id, asked)


@blueprint.post("/<int:practical_id>/run/<int:run_id>/decide")
@audience("teacher")
def decide_run(practical_id: int, run_id: int) -> ResponseReturnValue:
    """Set a run aside or count it, with a reason."""
    reason = request.form.get("reason", "")[:LONGEST_KEPT]
    try:
        _run_here(practical_id, run_id)
        decided = pressed("action", ACTIONS)(
            database(),
            actor=g.teacher,
            run_id=run_id,
            reason=reason,
            expected_revision=seen_revision("run_revision"),
            now=now(),
        )
    except (RunGone, ReasonMissing, NotAButton, NoRevision, DecidedMeanwhile, RunOfAnotherTime) as problem:
        return _refused(practical_id, problem, reason, run_id)
    flash(_said(decided), "good")
    return redirect(_onward(run_id))


@blueprint.post("/<int:practical_id>/run/<int:run_id>/bench-says-so")
@audience("teacher")
def bench_says_so(practical_id: int, run_id: int) -> ResponseReturnValue:
    """Store the suspected correction as the page showed it: the bench was asked, and confirms it."""
    typed = request.form.get("reason", "").strip()[:LONGEST_KEPT]
    said = gettext("The bench says so.")
    shown = {
        name: request.form[f"becomes_{name}"] for name in QUANTITIES if f"becomes_{name}" in request.form
    }
    try:
        run = _run_here(practical_id, run_id)
        correct_run(
            database(),
            actor=g.teacher,
            run_id=run_id,
            key=request.form.get("key", ""),
            entry=entry_with(run.entry, shown),
            reason=f"{said} {typed}".strip(),
            expected_revision=seen_revision("run_revision"),
            now=now(),
        )
    except (RunGone, RunChangedMeanwhile, *CORRECTION_REFUSED) as problem:
        return _refused(practical_id, problem, typed, run_id)
    flash(
        gettext(
            "Bench %(bench)s, run %(run)s is corrected as the bench says; the earlier readings stay in the"
            " history.",
            bench=run.bench_number,
            run=run.number,
        ),
        "good",
    )
    return redirect(_onward(run_id))


@blueprint.post("/<int:practical_id>/bench-aside")
@audience("teacher")
def set_bench_aside(practical_id: int) -> ResponseReturnValue:
    """Set all runs of a bench aside with one reason."""
    reason = request.form.get("reason", "")[:LONGEST_KEPT]
    chosen, _, seen = request.form.get("bench", "").partition(":")
    number = bench_number(chosen)
    try:
        if not number:
            raise NoBenchChosen()
        runs = whole_bench.set_bench_aside(
            database(),
            actor=g.teacher,
            practical_id=practical_id,
            bench_number=number,
            reason=reason,
            seen=seen,
            now=now(),
        )
    except (
        NoBenchChosen,
        ReasonMissing,
        whole_bench.NothingToSetAside,
        whole_bench.BenchChangedMeanwhile,
    ) as problem:
        return _refused(practical_id, problem, reason, bench=number)
    told = ngettext(
        "Bench %(bench)s: %(num)d run is set aside.",
        "Bench %(bench)s: %(num)d runs are set aside.",
        runs,
        bench=number,
    )
    flash(told, "good")
    return redirect(url_for("desk.decisions", _anchor="whole-bench"))


@blueprint.post("/<int:practical_id>/bench-aside/<int:decision_id>/undo")
@audience("teacher")
def undo_bench_aside(practical_id: int, decision_id: int) -> ResponseReturnValue:
    """Count again what one such step set aside."""
    with refusal_on_next_page(whole_bench.NothingToUndo, category="ask"):
        runs = whole_bench.undo_bench_aside(
            database(),
            actor=g.teacher,
            practical_id=practical_id,
            decision_id=decision_id,
            reason=gettext("Setting the bench aside was undone."),
            now=now(),
        )
        flash(
            ngettext("Undone: %(num)d run counts again.", "Undone: %(num)d runs count again.", runs), "good"
        )
    return redirect(url_for("desk.decisions", _anchor="whole-bench"))


def _run_here(practical_id: int, run_id: int) -> RunDetails:
    """The run, also where it came too fast and does not count: a page may show it from when it did."""
    for run in snapshot_here(practical_id).all_runs:
        if run.run_id == run_id:
            return run
    raise RunGone()


def _onward(run_id: int) -> str:
    """Back to the page of the list from which the run was decided; without one to the run itself."""
    here = request.form.get("page", type=int)
    if here is None:
        return url_for("desk.decisions", run=run_id, _anchor=f"run-{run_id}")
    return url_for("desk.decisions", page=here, _anchor="open-title")


def _refused(
    practical_id: int, problem: Problem | ReadingProblem, reason: str, run: int | None = None, bench: int = 0
) -> ResponseReturnValue:
    """The page as it stands now, with what was typed and why nothing was done."""
    refused = Refused(problem.message, reason, run, bench)
    status = 404 if isinstance(problem, RunGone) else 409 if isinstance(problem, CHANGED_MEANWHILE) else 422
    return _decisions(practical_id, Asked(run=run), refused), status


def _decisions(practical_id: int, asked: Asked, refused: Refused | None = None) -> str:
    snapshot = snapshot_here(practical_id)
    of_practical: dict[str, Any] = {"actor": g.teacher, "practical_id": practical_id}
    found = decisions_of(
        snapshot, last_decisions(database(), **of_practical), decided_runs(database(), **of_practical), asked
    )
    any_aside = any(run.set_aside for run in snapshot.runs)
    with_every = any_aside and (not found.large or request.args.get("effects") == EVERY_RUN)
    return page(
        "desk/decisions.html",
        snapshot.practical,
        "decisions",
        found=found,
        result=snapshot.result,
        held_back=held_back_by_bench(snapshot.held_back),
        any_aside=any_aside,
        everything=with_every_run(snapshot) if with_every else None,
        benches_aside=whole_bench.benches_aside(database(), **of_practical),
        bench_asked=refused.bench if refused else request.args.get("bench", type=int),
        refused=refused,
        has_no_sheet=refused is not None
        and refused.run is not None
        and all(run.run_id != refused.run for run in snapshot.runs),
        correction_key=new_key,
    )


def _said(decided: SavedDecision) -> str:
    place = {"bench": decided.bench_number, "run": decided.run_number}
    if decided.set_aside:
        return gettext(
            "Bench %(bench)s, run %(run)s is set aside. It stays in the record and can be counted again.",
            **place,
        )
    return gettext("Bench %(bench)s, run %(run)s is counted.", **place)
