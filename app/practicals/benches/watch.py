"""The benches as the desk sees them while they work, and what the teacher does about one.

A bench whose number is beyond the plan is let in or refused; until then it is not there for the class.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import bindparam, func, select, update
from sqlalchemy.orm import Session

from app.physics.limits import MOST_BENCHES
from app.practicals.benches.bench_key import key_subject
from app.practicals.benches.rows import (
    BadBenchNumber,
    NoSuchBench,
    bench_numbered,
    check_bench_number,
    joined_bench,
)
from app.practicals.lesson.details import picture_of
from app.practicals.lesson.permission import (
    note_change,
    practical_to_run,
    practical_to_see,
    raise_presence,
)
from app.practicals.people import credentials
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import BenchProgress, HistoryKind
from app.records.engine import Database
from app.records.models import Bench, BenchPhone, Practical, Run


@dataclass(frozen=True)
class BenchDetails:
    """One bench. The bench key is for the bench itself and its teacher."""

    bench_id: int
    number: int
    bench_key: str
    joined_at: datetime
    safety_acknowledged_at: datetime | None
    progress: BenchProgress
    counted_so_far: int | None
    waiting_to_send: int
    last_seen_at: datetime
    asked_for_help_at: datetime | None
    open_to_a_phone: bool
    phones: int
    runs: int
    simulated: bool
    waits_for_teacher: bool = False
    """Not let in yet: for the class it is not there."""
    ice_point_text: str | None = None
    ice_point_C: Decimal | None = None


def help_given(database: Database, *, actor: TeacherIdentity, practical_id: int, bench_number: int) -> None:
    """The teacher has been there."""
    with database.writing() as session:
        practical_to_run(session, actor, practical_id)
        joined_bench(session, practical_id, bench_number).asked_for_help_at = None
        raise_presence(session, practical_id)


def let_in(
    database: Database, *, actor: TeacherIdentity, practical_id: int, bench_number: int, now: datetime
) -> None:
    """The bench is one of the class from now on."""
    with database.writing() as session:
        practical, bench = _waiting(session, actor, practical_id, bench_number)
        bench.waits_for_teacher = False
        note_change(session, practical, HistoryKind.BENCH_LET_IN, actor, now, str(bench_number))


def refuse(
    database: Database, *, actor: TeacherIdentity, practical_id: int, bench_number: int, now: datetime
) -> None:
    """The bench is gone, and its phones are asked for their number again. It has sent nothing."""
    with database.writing() as session:
        practical, bench = _waiting(session, actor, practical_id, bench_number)
        session.delete(bench)
        note_change(session, practical, HistoryKind.BENCH_REFUSED, actor, now, str(bench_number))


def release_bench(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    bench_number: int,
    now: datetime,
    end_phones: bool = False,
) -> None:
    """Let the next phone join this bench without its key; `end_phones` when the old one is lost."""
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        bench = joined_bench(session, practical_id, bench_number)
        bench.open_to_a_phone = True
        credentials.forget_failures(session, key_subject(bench.id))
        if end_phones:
            session.execute(
                update(BenchPhone)
                .where(BenchPhone.bench_id == bench.id, BenchPhone.left_at.is_(None))
                .values(left_at=now, ended_by_teacher=True)
            )
            bench.waiting_to_send = 0
        note_change(session, practical, HistoryKind.BENCH_RELEASED, actor, now, str(bench_number))


def renumber_bench(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    bench_number: int,
    right_number: int,
    now: datetime,
) -> bool:
    """Put a bench's wrong number right; True if another bench had the right one and the two changed numbers.

    Runs, history and phones go with the bench; nothing is typed again.
    """
    check_bench_number(right_number)
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        bench = joined_bench(session, practical_id, bench_number)
        if right_number == bench_number:
            return False
        other = bench_numbered(session, practical_id, right_number)
        if other is not None:
            other.number = _free_number(session, practical_id)
            session.flush()
        bench.number = right_number
        session.flush()
        if other is not None:
            other.number = bench_number
        told = f"{bench_number} ↔ {right_number}" if other is not None else f"{bench_number} → {right_number}"
        note_change(session, practical, HistoryKind.BENCH_RENUMBERED, actor, now, told)
        return other is not None


def benches_of(database: Database, *, actor: TeacherIdentity, practical_id: int) -> list[BenchDetails]:
    """The benches of a practical, for any teacher of its department."""
    with database.reading() as session:
        return benches_in(session, practical_to_see(session, actor, practical_id).id)


def benches_in(session: Session, practical_id: int, bench_id: int | None = None) -> list[BenchDetails]:
    """The benches of a practical by number, with how many phones and runs each has."""
    wanted, asked = _ALL, {"practical_id": practical_id}
    if bench_id is not None:
        wanted, asked = _ONE, {**asked, "bench_id": bench_id}
    return [
        picture_of(BenchDetails, bench, bench_id=bench.id, phones=phone_count, runs=run_count)
        for bench, phone_count, run_count in session.execute(wanted, asked)
    ]


_PHONES = (
    select(func.count())
    .where(BenchPhone.bench_id == Bench.id, BenchPhone.left_at.is_(None))
    .scalar_subquery()
)
_RUNS = select(func.count()).where(Run.bench_id == Bench.id).scalar_subquery()
_BENCHES = select(Bench, _PHONES, _RUNS).order_by(Bench.number)
_ALL = _BENCHES.where(Bench.practical_id == bindparam("practical_id"))
_ONE = _ALL.where(Bench.id == bindparam("bench_id"))


def _free_number(session: Session, practical_id: int) -> int:
    taken = set(session.scalars(select(Bench.number).where(Bench.practical_id == practical_id)))
    free = next((number for number in range(MOST_BENCHES, 0, -1) if number not in taken), None)
    if free is None:
        raise BadBenchNumber()  # ninety-nine benches have joined: there is no number left to change over
    return free


def _waiting(
    session: Session, actor: TeacherIdentity, practical_id: int, bench_number: int
) -> tuple[Practical, Bench]:
    practical = practical_to_run(session, actor, practical_id)
    bench = joined_bench(session, practical_id, bench_number)
    if not bench.waits_for_teacher:
        raise NoSuchBench()
    return practical, bench
