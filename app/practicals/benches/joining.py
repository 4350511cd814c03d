"""Phones joining a bench: by the code on the wall and the bench's number, no accounts, no names."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.practicals.benches.bench_key import refusal_of_key
from app.practicals.benches.phones import identity_for
from app.practicals.benches.rows import add_bench, bench_numbered, check_bench_number
from app.practicals.lesson.details import picture_of
from app.practicals.lesson.permission import locked_practical, raise_revision
from app.practicals.made_up.rehearsal_rows import remove_rehearsal_rows
from app.practicals.people import credentials
from app.practicals.people.actors import BenchIdentity
from app.practicals.people.credentials import (
    CODE_LENGTH,
    digest,
    new_token,
    tidy_code,
)
from app.records.choices import PracticalState
from app.records.engine import Database
from app.records.errors import Conflict, NotAllowed, NotFound
from app.records.models import Bench, BenchPhone, Practical, Run
from app.words import N_, Message

SLOW_AFTER_WRONG_CODES = 20
WRONG_CODE_WINDOW = timedelta(minutes=10)


class WrongCode(NotFound):
    """No class is open under this code. After many of them a pause is asked for."""

    sentence = N_("No class is open under that code. Check it against the board and type it again.")

    def __init__(self, retry_after_seconds: int) -> None:
        super().__init__()
        self.retry_after_seconds = retry_after_seconds


class ClassPaused(Conflict):
    """The code is right, but the teacher has paused the class."""

    sentence = N_("The teacher has paused the class. Try again when it carries on.")


class NotOpenYet(Conflict):
    """The code is right, but the class is only planned."""

    sentence = N_("Your class is not open yet. Wait for the teacher to open it, then try again.")


class BenchTaken(NotAllowed):
    """Another phone already enters this bench's readings; the message says what its key did."""


class BenchHasRuns(Conflict):
    """A bench that has sent runs keeps its number."""

    sentence = N_("This bench has sent runs, so it keeps its number. Ask the teacher to put it right.")


@dataclass(frozen=True)
class FoundPractical:
    """What a phone may know before it has joined: nothing that was measured."""

    practical_id: int
    title: str
    material: str
    language: str | None
    planned_benches: int
    joined_benches: tuple[int, ...]


@dataclass(frozen=True)
class Joined:
    """A phone that now enters the readings of a bench; the token goes into its cookie and nowhere else."""

    token: str
    bench: BenchIdentity
    bench_key: str


def find_practical_by_code(database: Database, *, code: str, address: str, now: datetime) -> FoundPractical:
    """The class that is open under this code. A right code is never made to wait."""
    with database.reading() as session:
        practical = _by_code(session, code)
        if practical is not None and practical.state == PracticalState.COLLECTING:
            return _found(session, practical)
    if practical is not None:
        raise _closed(practical)
    raise _counted_wrong_code(database, address, now)


def join_bench(
    database: Database,
    *,
    code: str,
    bench_number: int,
    now: datetime,
    address: str = "",
    bench_key: str = "",
    earlier_token: str = "",
    phone: str = "",
) -> Joined:
    """Let a phone enter a bench's readings: the first just joins, another needs the bench key or a release.

    `phone` tells the phones apart whose wrong keys are counted.
    """
    outcome = None
    with database.writing() as session:
        seen = _by_code(session, code)
        practical = locked_practical(session, seen.id) if seen else None
        if practical is not None and practical.join_code == tidy_code(code):  # not replaced a moment ago
            if practical.state != PracticalState.COLLECTING:
                raise _closed(practical)
            outcome = _join(session, practical, bench_number, _Asks(bench_key, earlier_token, phone), now)
    if outcome is None:
        raise _counted_wrong_code(database, address, now)
    if isinstance(outcome, Message):
        raise BenchTaken(outcome)
    return outcome


def move_bench(
    database: Database,
    *,
    actor: BenchIdentity,
    bench_number: int,
    now: datetime,
    bench_key: str = "",
    phone: str = "",
) -> Joined:
    """Let a phone that chose the wrong number change its bench, as long as that one has sent nothing."""
    with database.writing() as session:
        practical = locked_practical(session, actor.practical_id)
        if practical is None or practical.state != PracticalState.COLLECTING:
            raise ClassPaused()
        outcome = _join(session, practical, bench_number, _Asks(bench_key, "", phone), now)
        if isinstance(outcome, Joined):
            _leave(session, actor, now)
            return outcome
    if bench_key.strip():
        raise BenchTaken(outcome)
    raise BenchTaken(
        Message(
            N_("Another phone already enters bench %(bench)s's readings. You are still at bench %(own)s."),
            {"bench": str(bench_number), "own": str(actor.bench_number)},
        )
    )


def _by_code(session: Session, code: str) -> Practical | None:
    tidy = tidy_code(code)
    if len(tidy) != CODE_LENGTH:
        return None
    return session.scalar(select(Practical).where(Practical.join_code == tidy))


def _closed(practical: Practical) -> NotOpenYet | ClassPaused:
    """Why a right code lets nobody in at the moment."""
    return NotOpenYet() if practical.state == PracticalState.PLANNED else ClassPaused()


def _found(session: Session, practical: Practical) -> FoundPractical:
    of_class = (Bench.practical_id == practical.id, ~Bench.simulated)
    numbers = session.scalars(select(Bench.number).where(*of_class).order_by(Bench.number))
    return picture_of(FoundPractical, practical, practical_id=practical.id, joined_benches=tuple(numbers))


def _counted_wrong_code(database: Database, address: str, now: datetime) -> WrongCode:
    subject = credentials.attempt_subject("join code", address)
    with database.reading() as session:
        count, _ = credentials.failures(session, subject, now, WRONG_CODE_WINDOW)
    if count < credentials.MOST_FAILURES_KEPT:  # a flood of them does not keep the benches from writing
        with database.writing() as session:
            credentials.note_failure(session, subject, now)
    return WrongCode(0 if count < SLOW_AFTER_WRONG_CODES else min(10, count - SLOW_AFTER_WRONG_CODES + 1))


@dataclass(frozen=True)
class _Asks:
    """What a phone brings with it: the bench key as typed, the token it had before, and which phone it is."""

    key: str
    earlier_token: str
    phone: str


def _join(
    session: Session, practical: Practical, number: int, asks: _Asks, now: datetime
) -> Joined | Message:
    """The phone joined, or why not if the bench is another phone's (a wrong key is counted)."""
    check_bench_number(number)
    remove_rehearsal_rows(session, practical.id)  # before the bench is looked for: it may be a simulated one
    bench = bench_numbered(session, practical.id, number)
    if bench is None:
        bench = add_bench(session, practical.id, number, now)
        bench.waits_for_teacher = number > practical.planned_benches
    elif refusal := _refusal(session, bench, asks, now):
        return refusal
    token = new_token()
    phone = BenchPhone(bench_id=bench.id, token_digest=digest(token), joined_at=now, last_seen_at=now)
    session.add(phone)
    bench.open_to_a_phone = False
    bench.last_seen_at = now
    raise_revision(practical)
    session.flush()
    who = BenchIdentity(practical.id, bench.id, bench.number, phone.id, bench.waits_for_teacher)
    return Joined(token, who, bench.bench_key)


def _refusal(session: Session, bench: Bench, asks: _Asks, now: datetime) -> Message | None:
    if bench.open_to_a_phone or not _active_phones(session, bench.id):
        return None
    earlier = identity_for(session, asks.earlier_token)
    if earlier is not None and earlier.bench_id == bench.id:
        session.get_one(BenchPhone, earlier.phone_id).left_at = now
        return None
    return refusal_of_key(session, bench, asks.key, asks.phone, now)


def _active_phones(session: Session, bench_id: int) -> int:
    count = select(func.count()).where(BenchPhone.bench_id == bench_id, BenchPhone.left_at.is_(None))
    return session.scalar(count) or 0


def _leave(session: Session, actor: BenchIdentity, now: datetime) -> None:
    bench = session.get(Bench, actor.bench_id)
    phone = session.get(BenchPhone, actor.phone_id)
    if bench is None or phone is None:
        return
    if session.scalar(select(Run.id).where(Run.bench_id == bench.id).limit(1)) is not None:
        raise BenchHasRuns()
    phone.left_at = now
    session.flush()
    if not _active_phones(session, bench.id):
        session.delete(bench)
        session.flush()
