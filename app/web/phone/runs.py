"""The bench's own runs: what was sent, what it gives, correcting one, and the bench's own calculation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app.analysis.views.one_bench import own_result
from app.physics.asking.question import Question
from app.physics.energy import apparent_heat_capacity, specific_fall_energy
from app.physics.reading.readings import ReadingProblem, parse_heat_capacity
from app.physics.working import Working
from app.practicals.benches.own_bench import OwnPractical, own_practical
from app.practicals.runs.own_calculation import note_own_calculation, working_of
from app.practicals.runs.reading import RunDetails, one_run
from app.practicals.runs.refusals import LONGEST_BENCH_WORDS, PracticalClosed, WordsTooLong
from app.practicals.runs.sending import confirm_readings, correct_run
from app.records.errors import Problem
from app.web.audience import audience, now
from app.web.forms import new_key, seen_revision
from app.web.languages import say
from app.web.phone.blueprint import blueprint
from app.web.phone.checked import check_typed, take_up
from app.web.phone.class_now import class_part
from app.web.phone.run import settle, typed_from
from app.web.phone.typed import FIELDS, TypedRun, fields_as_typed, from_form
from app.web.storage import database
from app.words import Message


@blueprint.get("/bench/runs")
@audience("bench")
def runs() -> ResponseReturnValue:
    """Everything this bench has sent."""
    return _runs_page({})


@blueprint.get("/bench/runs/<int:run_id>")
@audience("bench")
def correct(run_id: int) -> ResponseReturnValue:
    """One of the bench's runs, to be corrected."""
    details = one_run(database(), actor=g.bench, run_id=run_id)
    typed = replace(typed_from(details), key=new_key())
    return _correct_page(details, typed, {})


@blueprint.post("/bench/runs/<int:run_id>")
@audience("bench")
def store_correction(run_id: int) -> ResponseReturnValue:
    """Store the corrected run beside the earlier one, which is kept."""
    details = one_run(database(), actor=g.bench, run_id=run_id)
    own, reason = own_practical(database(), actor=g.bench), request.form.get("reason", "")
    typed, _settled = settle(from_form(request.form), own)
    return _store(details, typed, own, reason, seen_by_bench="take" not in request.form)


def _store(
    details: RunDetails, typed: TypedRun, own: OwnPractical, reason: str = "", seen_by_bench: bool = True
) -> ResponseReturnValue:
    """Store a correction that nothing is left to ask about; else the page that asks."""
    seen = check_typed(typed, FIELDS, own, details.number)
    if seen.entry is None or not seen.ready or not seen_by_bench:
        return _correct_page(
            details, typed, seen.problems, seen.questions, reason
        ), 422 if seen.problems else 200
    try:
        correct_run(
            database(),
            actor=g.bench,
            run_id=details.run_id,
            key=typed.key,
            entry=replace(seen.entry, own_heat_capacity=details.entry.own_heat_capacity),
            reason=reason.replace("\x00", ""),
            now=now(),
            expected_revision=seen_revision("revision"),
            client_time=typed.client_time,
        )
    except WordsTooLong as problem:
        return _correct_page(details, typed, {"reason": problem.message}, (), reason), 422
    except Problem as problem:
        return _correct_page(details, typed, {"run": problem.message}, (), reason), 409
    flash(
        _("Run %(number)s is corrected. The earlier readings stay in its history.", number=details.number),
        "good",
    )
    return redirect(url_for("bench.runs"))


@blueprint.post("/bench/runs/<int:run_id>/answer")
@audience("bench")
def answer(run_id: int) -> ResponseReturnValue:
    """What was asked after the run came in: its readings stand, or what a question proposes is put right."""
    if pressed := request.form.get("take", ""):
        own = own_practical(database(), actor=g.bench)
        details = one_run(database(), actor=g.bench, run_id=run_id)
        asked = replace(typed_from(details), key=from_form(request.form).key)
        return _store(details, take_up(asked, pressed, own, details.number), own)
    try:
        number = confirm_readings(database(), actor=g.bench, run_id=run_id)
    except PracticalClosed as closed:
        flash(say(closed.message), "bad")
    else:
        flash(_("Run %(number)s stays as you read it.", number=number), "good")
    return redirect(url_for("bench.runs"))


@blueprint.post("/bench/runs/<int:run_id>/own")
@audience("bench")
def own_calculation(run_id: int) -> ResponseReturnValue:
    """The specific heat capacity that the bench worked out itself, held against its readings."""
    text, key = request.form.get("own_heat_capacity", ""), request.form.get("key", "")
    try:
        typed = parse_heat_capacity(text)
        saved = note_own_calculation(
            database(), actor=g.bench, run_id=run_id, key=key, typed=typed, now=now()
        )
    except ReadingProblem as problem:
        return _runs_page({run_id: (text, problem.message)}), 422
    except PracticalClosed as closed:
        flash(say(closed.message), "bad")
        return redirect(url_for("bench.runs"))
    except Problem as problem:
        return _runs_page({run_id: (text, problem.message)}), 409
    return redirect(url_for("bench.runs", _anchor=f"run-{saved.number}"))


def _runs_page(refused: Mapping[int, tuple[str, Message]]) -> str:
    own = own_practical(database(), actor=g.bench)
    lines = [shown(details, own) for details in own.runs]
    return render_template(
        "bench/runs.html",
        own=own,
        lines=lines,
        result=own_result([line.apparent_J_per_kg_K for line in lines if line.details.counts]),
        **class_part(),
        refused=refused,
        new_key=new_key,
    )


def _correct_page(
    details: RunDetails,
    typed: TypedRun,
    problems: Mapping[str, Message],
    questions: tuple[object, ...] = (),
    reason: str = "",
) -> str:
    return render_template(
        "bench/correct.html",
        details=details,
        run=typed,
        problems=dict(problems),
        questions=questions,
        reason=reason,
        longest=LONGEST_BENCH_WORDS,
        FIELDS=FIELDS,
        asked_for=fields_as_typed(details.entry),
        say=say,
    )


@dataclass(frozen=True)
class OwnRun:
    """One run with what follows from it."""

    details: RunDetails
    apparent_J_per_kg_K: float | None
    working: Working | None
    questions: tuple[Question, ...] = ()
    """What its phone could not ask about before it was sent."""


def shown(details: RunDetails, own: OwnPractical) -> OwnRun:
    """Work one run out, and check the bench's own calculation of it."""
    run, gravity = details.entry.readings, float(own.practical.plan.gravity_m_per_s2)
    energy = specific_fall_energy(run.fall_m, run.inversions, gravity)
    return OwnRun(
        details,
        apparent_heat_capacity(energy, float(details.entry.warming_K)),
        working_of(details, own.practical.plan),
        check_typed(typed_from(details), FIELDS, own, details.number).questions
        if details in own.unanswered
        else (),
    )
