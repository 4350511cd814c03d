"""A bench that joined under the wrong number and has sent runs: the teacher puts the number right."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.benches.joining import BadBenchNumber
from app.practicals.benches.watch import NoSuchBench
from app.practicals.lesson.permission import note_change, practical_to_run, raise_revision
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.models import Bench

NUMBERS = range(1, 100)


def renumber_bench(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    bench_number: int,
    right_number: int,
    now: datetime,
) -> bool:
    """Give a bench its right number; True if another bench had it and the two changed numbers.

    Runs, history and phones go with the bench; nothing is typed again.
    """
    if right_number not in NUMBERS:
        raise BadBenchNumber()
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        bench = _bench(session, practical_id, bench_number)
        if bench is None:
            raise NoSuchBench()
        if right_number == bench_number:
            return False
        other = _bench(session, practical_id, right_number)
        if other is not None:
            other.number = _free_number(session, practical_id)
            session.flush()
        bench.number = right_number
        session.flush()
        if other is not None:
            other.number = bench_number
        told = f"{bench_number} ↔ {right_number}" if other is not None else f"{bench_number} → {right_number}"
        note_change(session, practical, "bench renumbered", actor.teacher_id, now, told)
        raise_revision(practical)
        return other is not None


def _bench(session: Session, practical_id: int, number: int) -> Bench | None:
    return session.scalar(select(Bench).where(Bench.practical_id == practical_id, Bench.number == number))


def _free_number(session: Session, practical_id: int) -> int:
    taken = set(session.scalars(select(Bench.number).where(Bench.practical_id == practical_id)))
    free = next((number for number in reversed(NUMBERS) if number not in taken), None)
    if free is None:
        raise BadBenchNumber()  # ninety-nine benches have joined: there is no number left to change over
    return free
