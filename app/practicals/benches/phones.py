"""The phones of benches: whose readings one enters, which are joined, and those that a teacher ends.

A phone is known by its token. Phones are ended where the class gets a new code: those that joined since a
moment. What they sent stays; an ended phone keeps what is typed on it and can join with the new code.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import bindparam, select, update
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from app.practicals.benches.rows import unsent_runs
from app.practicals.lesson.permission import practical_to_see
from app.practicals.people.actors import BenchIdentity, TeacherIdentity
from app.practicals.people.credentials import digest, is_possible
from app.records.choices import OPEN_STATES
from app.records.engine import Database
from app.records.models import Bench, BenchPhone, Practical

_OF_TOKEN = (
    select(Bench.practical_id, Bench.id, Bench.number, BenchPhone.id, Bench.waits_for_teacher)
    .join(BenchPhone, BenchPhone.bench_id == Bench.id)
    .where(BenchPhone.token_digest == bindparam("token_digest"), BenchPhone.left_at.is_(None))
)


def identity_for(records: Session | Connection, token: str) -> BenchIdentity | None:
    """The bench, or None where the token is none of ours or its phone has left."""
    if not is_possible(token):
        return None
    row = records.execute(_OF_TOKEN, {"token_digest": digest(token)}).first()
    return BenchIdentity(*row) if row else None


def bench_for_token(database: Database, *, token: str) -> BenchIdentity | None:
    """The bench whose readings this phone enters, or None. Also after the class: its runs stay readable."""
    with database.looking() as connection:
        return identity_for(connection, token)


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


def phones_since(phones: Iterable[JoinedPhone], moment: datetime) -> EndedPhones:
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
        .where(Practical.state.in_(OPEN_STATES))
    )
    with database.reading() as session:
        return session.scalar(wanted)
