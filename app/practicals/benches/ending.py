"""Phones ended by their teacher: those that joined since a moment, when the class gets a new code.

What they sent stays. An ended phone keeps what is typed on it, and can join again with the new code.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.practicals.benches.own_bench import unsent_runs
from app.practicals.lesson.permission import practical_to_see
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import digest, is_possible
from app.records.choices import PracticalState
from app.records.engine import Database
from app.records.models import Bench, BenchPhone, Practical


@dataclass(frozen=True)
class JoinedPhone:
    """A phone that enters a bench's readings, and since when."""

    bench_number: int
    joined_at: datetime


@dataclass(frozen=True)
class EndedPhones:
    """How many, and whose."""

    phones: int
    benches: tuple[int, ...]


def joined_phones(
    database: Database, *, actor: TeacherIdentity, practical_id: int
) -> tuple[JoinedPhone, ...]:
    """All that are joined now, the latest first."""
    wanted = (
        select(Bench.number, BenchPhone.joined_at)
        .join(BenchPhone, BenchPhone.bench_id == Bench.id)
        .where(Bench.practical_id == practical_id, BenchPhone.left_at.is_(None))
        .order_by(BenchPhone.joined_at.desc(), Bench.number)
    )
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        return tuple(JoinedPhone(*row) for row in session.execute(wanted))


def since(phones: Iterable[JoinedPhone], moment: datetime) -> EndedPhones:
    """Those that `end_phones_since` would end. Pure."""
    numbers = [phone.bench_number for phone in phones if phone.joined_at >= moment]
    return EndedPhones(len(numbers), tuple(sorted(set(numbers))))


def end_phones_since(session: Session, practical_id: int, moment: datetime, now: datetime) -> EndedPhones:
    """End the phones that joined then or later. A bench beyond the plan that waited with them is gone."""
    found = session.execute(
        select(BenchPhone.id, Bench)
        .join(Bench, Bench.id == BenchPhone.bench_id)
        .where(
            Bench.practical_id == practical_id,
            BenchPhone.left_at.is_(None),
            BenchPhone.joined_at >= moment,
        )
    ).all()
    session.execute(
        update(BenchPhone)
        .where(BenchPhone.id.in_([phone_id for phone_id, _ in found]))
        .values(left_at=now, ended_by_teacher=True)
        .execution_options(synchronize_session=False)
    )
    benches = {bench.id: bench for _, bench in found}
    joined = select(BenchPhone.bench_id).where(BenchPhone.bench_id.in_(benches), BenchPhone.left_at.is_(None))
    with_a_phone = set(session.scalars(joined))
    ended = EndedPhones(len(found), tuple(sorted(bench.number for bench in benches.values())))
    for bench in benches.values():
        if bench.id in with_a_phone:
            bench.waiting_to_send = unsent_runs(session, bench.id)
        elif bench.waits_for_teacher:
            session.delete(bench)
        else:
            bench.waiting_to_send, bench.asked_for_help_at = 0, None
    session.flush()
    return ended


def bench_ended_by_teacher(database: Database, *, token: str) -> int | None:
    """The number of the bench at which the teacher of a class under way ended this phone, else None."""
    if not is_possible(token):
        return None
    wanted = (
        select(Bench.number)
        .join(BenchPhone, BenchPhone.bench_id == Bench.id)
        .join(Practical, Practical.id == Bench.practical_id)
        .where(BenchPhone.token_digest == digest(token), BenchPhone.ended_by_teacher)
        .where(Practical.state.in_([state for state in PracticalState if state.is_open]))
    )
    with database.reading() as session:
        return session.scalar(wanted)
