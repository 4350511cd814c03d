"""What a bench's thermometer shows in melting ice: as the plan gives it, or as the bench read it itself.

The reading goes with the bench, to its right number too, and counts for all its runs, those before it as
well: it is the same thermometer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy.orm import Session

from app.physics.reading.readings import Reading, decimal_text
from app.physics.reading.text import with_unit
from app.practicals.benches.own_bench import LessonOver
from app.practicals.benches.rows import joined_bench, own_bench
from app.practicals.benches.watch import BenchDetails
from app.practicals.lesson.details import Plan
from app.practicals.lesson.permission import note_change, practical_to_run
from app.practicals.people.actors import Actor, BenchIdentity, TeacherIdentity
from app.records.choices import HistoryKind, PracticalState
from app.records.engine import Database
from app.records.models import Bench, Practical

NOTHING = "–"
"""Stands in the history for no reading."""


@dataclass(frozen=True)
class IcePoint:
    """A bench's reading in melting ice; `text` is what the bench typed, empty where the plan gives it."""

    value_C: Decimal
    text: str = ""


def ice_point_of(plan: Plan, number: int, bench: BenchDetails | None) -> IcePoint | None:
    """The bench's own reading, else the plan's; None where nobody read that thermometer in ice."""
    if bench is not None and bench.ice_point_C is not None:
        return IcePoint(bench.ice_point_C, bench.ice_point_text or decimal_text(bench.ice_point_C))
    planned = plan.for_bench(number).ice_point_C
    return None if planned is None else IcePoint(planned)


def ice_points_C(plan: Plan, benches: Iterable[BenchDetails]) -> dict[int, float]:
    """The ice-point readings of a class by bench number; a bench without one is left out."""
    joined = {bench.number: bench for bench in benches}
    planned = {line.number for line in plan.bench_plans} | {kit.number for kit in plan.kits}
    numbers = {*joined, *planned}
    found = {number: ice_point_of(plan, number, joined.get(number)) for number in numbers}
    return {number: float(point.value_C) for number, point in found.items() if point is not None}


def note_own_ice_point(
    database: Database, *, actor: BenchIdentity, reading: Reading | None, now: datetime
) -> None:
    """Keep what the bench read in melting ice; None takes its reading back. Raises `LessonOver`."""
    with database.writing() as session:
        practical, bench = own_bench(session, actor)
        if practical.state == PracticalState.FINISHED:
            raise LessonOver()
        _put(session, practical, bench, reading, actor, now)


def set_ice_point(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    bench_number: int,
    reading: Reading | None,
    now: datetime,
) -> None:
    """The same from the desk, in any state; None: the bench has what the plan gives it."""
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        bench = joined_bench(session, practical_id, bench_number)
        _put(session, practical, bench, reading, actor, now)


def _put(
    session: Session,
    practical: Practical,
    bench: Bench,
    reading: Reading | None,
    actor: Actor,
    now: datetime,
) -> None:
    """Store it and note the change. What is stored already changes nothing."""
    before, text = bench.ice_point_text, None if reading is None else with_unit(reading.raw, reading.unit)
    if before == text:
        return
    bench.ice_point_text, bench.ice_point_C = text, None if reading is None else reading.value
    told = f"{bench.number}: {before or NOTHING} → {text or NOTHING}"
    note_change(session, practical, HistoryKind.ICE_POINT, actor, now, told)
