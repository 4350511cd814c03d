"""The specific heat capacity that a bench worked out: kept beside its readings, and held against them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from app.physics.reading.readings import parse_heat_capacity
from app.physics.rounding import round_interval
from app.physics.working import Working, check_working
from app.practicals.lesson.details import Plan, TypedNumber
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.reading import RunDetails, one_run
from app.practicals.runs.sending import correct_run
from app.practicals.runs.storing import SavedRun
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


def own_uncertainty(run: RunDetails, plan: Plan) -> tuple[str, str] | None:
    """c less and c plus its standard uncertainty from step, reading and length (JCGM 100:2008, 5.1).

    Two times in three it lies between them. None without a c. What benches share is not in it, and neither is
    how fully the shot falls.
    """
    # Brings numpy with it, which most pages of a phone never need.
    from app.physics.uncertainty import apparent_heat_capacities  # noqa: PLC0415

    readings, line = run.entry.readings, plan.for_bench(run.bench_number)
    found = apparent_heat_capacities(
        readings.tube_length_m,
        readings.end_allowance_m,
        readings.inversions,
        readings.start_temperature_C,
        readings.end_temperature_C,
        thermometer_step_K=float(line.thermometer_step_K or plan.thermometer_step_K),
        reading_sd_K=float(plan.reading_sd_K),
        u_length_m=float(plan.length_sd_m),
        gravity_m_per_s2=float(plan.gravity_m_per_s2),
    )
    value = float(found.apparent_heat_capacity_J_per_kg_K)
    u = float(found.standard_uncertainty_J_per_kg_K)
    if not u > 0:
        return None
    return round_interval(value - u, value + u)
