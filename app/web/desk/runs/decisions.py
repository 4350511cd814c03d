"""Deciding about runs in the open: every flagged run with its reasons, and what a decision would do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import quantiles

from flask import flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.analysis.results import ClassValue
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.board.what_if import Effects, what_if, with_every_run
from app.practicals.runs.decisions import (
    Decided,
    DecidedMeanwhile,
    RunOfAnotherTime,
    count_again,
    decided_runs,
    set_aside,
)
from app.practicals.runs.history import HistoryLine, history
from app.practicals.runs.reading import NoSuchRun
from app.practicals.runs.refusals import ReasonMissing
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, page
from app.web.desk.lesson.view import RunRow, run_rows
from app.web.forms import NoRevision, NotAButton, pressed, seen_revision
from app.web.storage import database
from app.words import Message

ACTIONS = {"set-aside": set_aside, "count": count_again}


@dataclass(frozen=True)
class Case:
    """One run to decide about, or decided about."""

    row: RunRow
    effects: Effects
    strip: Strip | None
    decision: HistoryLine | None
    looked_at: bool

    @property
    def open(self) -> bool:
        """Flagged, counted, and nobody has looked at it as it stands now."""
        return self.row.flagged and not self.row.run.set_aside and not self.looked_at


@blueprint.get("/<int:practical_id>/decisions")
@audience("teacher")
def decisions(practical_id: int) -> ResponseReturnValue:
    """Every flagged run and every run that was set aside."""
    return _decisions(class_snapshot(database(), practical_id, actor=g.teacher))


@blueprint.post("/<int:practical_id>/run/<int:run_id>/decide")
@audience("teacher")
def decide_run(practical_id: int, run_id: int) -> ResponseReturnValue:
    """Set a run aside or count it, with a reason."""
    snapshot = class_snapshot(database(), practical_id, actor=g.teacher)
    if run_id not in {run.run_id for run in snapshot.runs}:
        raise NoSuchRun()
    reason = request.form.get("reason", "")[:1000]
    try:
        decided = pressed("action", ACTIONS)(
            database(),
            actor=g.teacher,
            run_id=run_id,
            reason=reason,
            expected_revision=seen_revision("run_revision"),
            now=now(),
        )
    except (ReasonMissing, NotAButton, NoRevision) as problem:
        return _decisions(snapshot, run_id, reason, problem.message), 422
    except (DecidedMeanwhile, RunOfAnotherTime) as problem:
        latest = class_snapshot(database(), practical_id, actor=g.teacher)
        return _decisions(latest, run_id, reason, problem.message), 409
    flash(_said(decided), "good")
    return redirect(url_for("desk.decisions", practical_id=practical_id) + f"#run-{run_id}")


def latest_decisions(practical_id: int) -> dict[int, HistoryLine]:
    """The last decision about each run."""
    lines = history(database(), actor=g.teacher, practical_id=practical_id)
    return {line.run_id: line for line in lines if line.run_id and line.is_decision}


def _decisions(
    snapshot: Snapshot, about: int | None = None, reason: str = "", problem: Message | None = None
) -> str:
    rows, latest = run_rows(snapshot), latest_decisions(snapshot.practical.practical_id)
    value = snapshot.result.class_value if snapshot.result else None
    decided_about = decided_runs(database(), actor=g.teacher, practical_id=snapshot.practical.practical_id)
    cases = [
        Case(
            row=row,
            effects=what_if(snapshot, row.run.bench_number, row.run.number),
            strip=strip_of(rows, row, value),
            decision=latest.get(row.run.run_id),
            looked_at=row.run.run_id in decided_about,
        )
        for row in rows
        if row.flagged or row.run.set_aside or row.run.run_id in latest or row.run.run_id == about
    ]
    return page(
        "desk/decisions.html",
        snapshot.practical,
        "decisions",
        open_cases=[case for case in cases if case.open],
        settled_cases=[case for case in cases if not case.open],
        result=snapshot.result,
        everything=with_every_run(snapshot) if any(run.set_aside for run in snapshot.runs) else None,
        about=about,
        reason=reason,
        problem=problem,
    )


def _said(decided: Decided) -> str:
    place = {"bench": decided.bench_number, "run": decided.run_number}
    if decided.set_aside:
        return gettext(
            "Bench %(bench)s, run %(run)s is set aside. It stays in the record and can be counted again.",
            **place,
        )
    return gettext("Bench %(bench)s, run %(run)s is counted.", **place)


WIDTH, EDGE = 600.0, 26.0


@dataclass(frozen=True)
class Strip:
    """The drawing beside a decision: every run's value on one line, this run on it, the class's band.

    Positions are in the drawing's own units; `beyond` is −1 or 1 where this run lies off the strip.
    """

    this: float | None
    beyond: int
    others: tuple[float, ...]
    band: tuple[float, float] | None
    low: float
    high: float


def strip_of(rows: Sequence[RunRow], this: RunRow, value: ClassValue | None) -> Strip | None:
    """The strip for one run; None where fewer than three runs have a value."""
    figures = sorted(c for row in rows if (c := apparent(row)) is not None)
    if len(figures) < 3:
        return None
    first, _, third = quantiles(figures, n=4)
    reach = max(2.5 * (third - first), 0.15 * abs(third), 1e-9)
    low, high = max(figures[0], first - reach), min(figures[-1], third + reach)
    if value is not None and value.interval_95 is not None:
        low, high = min(low, value.interval_95[0]), max(high, value.interval_95[1])
    if not high > low:
        low, high = low * 0.95, high * 1.05

    def place(figure: float) -> float:
        inside = min(max((figure - low) / (high - low), 0.0), 1.0)
        return round(EDGE + inside * (WIDTH - 2 * EDGE), 1)

    own = apparent(this)
    interval = value.interval_95 if value else None
    return Strip(
        this=None if own is None else place(own),
        beyond=0 if own is None or low <= own <= high else (1 if own > high else -1),
        others=tuple(place(c) for row in rows if row is not this and (c := apparent(row)) is not None),
        band=(place(interval[0]), place(interval[1])) if interval else None,
        low=low,
        high=high,
    )


def apparent(row: RunRow) -> float | None:
    """A run's apparent specific heat capacity."""
    return row.worked.apparent_heat_capacity_J_per_kg_K if row.worked else None
