"""The specific heat capacity that a bench worked out: kept beside its readings, and held against them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from app.physics.readings import parse_heat_capacity
from app.physics.working import ReadingsForWorking, Working, check_working
from app.practicals.actors import BenchIdentity
from app.practicals.enter import SavedRun, correct_run
from app.practicals.runs import RunDetails, one_run
from app.practicals.shapes import Plan, TypedNumber
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
    return check_working(parse_heat_capacity(mine.raw), readings_for_working(run, plan)) if mine else None


def readings_for_working(run: RunDetails, plan: Plan) -> ReadingsForWorking:
    """The run's readings, as the working takes them."""
    entry = run.entry
    return ReadingsForWorking(
        shot_mass_kg=float(entry.shot_mass.value),
        tube_length_m=float(entry.tube_length.value),
        end_allowance_m=float(entry.end_allowance.value),
        inversions=float(entry.inversions.value),
        start_temperature_C=float(entry.start_temperature.value),
        end_temperature_C=float(entry.end_temperature.value),
        gravity_m_per_s2=float(plan.gravity_m_per_s2),
    )
