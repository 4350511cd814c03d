"""The specific heat capacity that a bench worked out: kept beside its readings, and held against them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from app.physics.reading.readings import parse_heat_capacity
from app.physics.working import Working, check_working
from app.practicals.lesson.details import Plan, TypedNumber
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.reading import RunDetails, one_run
from app.practicals.runs.sending import SavedRun, correct_run
from app.records.engine import Database


def note_own_calculation(
    database: Database, *, actor: BenchIdentity, run_id: int, key: str, typed: TypedNumber, now: datetime
) -> SavedRun:
    """Keep it as a version of the run whose readings stay as they are; in a pause as well: that is when
    a class works things out. Another phone's correction in between is not undone: RunChangedMeanwhile."""
    run = one_run(database, actor=actor, run_id=run_id)
    return correct_run(
        database,
        actor=actor,
        run_id=run_id,
        key=key,
        entry=replace(run.entry, own_heat_capacity=typed),
        reason="",
        now=now,
        expected_revision=run.run_revision,
        own_calculation=True,
    )


def working_of(run: RunDetails, plan: Plan) -> Working | None:
    """Whether the bench's own value follows from the run's readings; None where it typed none."""
    mine = run.entry.own_heat_capacity
    if mine is None:
        return None
    return check_working(parse_heat_capacity(mine.raw), run.entry.readings, float(plan.gravity_m_per_s2))
