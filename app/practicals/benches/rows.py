"""The row of a bench: found by its number or by its phone, and made. Use cases about one bench begin here."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.physics.limits import MOST_BENCHES
from app.practicals.lesson.permission import locked_practical
from app.practicals.people.actors import BenchIdentity
from app.practicals.people.credentials import new_bench_key
from app.records.choices import BenchProgress
from app.records.errors import NotFound, Unprocessable
from app.records.models import Bench, BenchPhone, Practical
from app.words import N_


class NoSuchBench(NotFound):
    """There is no such bench in this practical."""

    sentence = N_("No bench of that number has joined this practical.")


class BadBenchNumber(Unprocessable):
    """Not a bench number."""

    sentence = N_("A bench number is a whole number between 1 and 99; it is on the bench's card.")


def check_bench_number(number: int) -> None:
    """Raise `BadBenchNumber` where no bench can have this number."""
    if not 1 <= number <= MOST_BENCHES:
        raise BadBenchNumber()


def bench_numbered(session: Session, practical_id: int, number: int) -> Bench | None:
    """The practical's bench of that number, if it has joined."""
    return session.scalar(select(Bench).where(Bench.practical_id == practical_id, Bench.number == number))


def joined_bench(session: Session, practical_id: int, number: int) -> Bench:
    """The practical's bench of that number. Raises `NoSuchBench` where none has joined."""
    bench = bench_numbered(session, practical_id, number)
    if bench is None:
        raise NoSuchBench()
    return bench


def own_bench(session: Session, actor: BenchIdentity) -> tuple[Practical, Bench]:
    """The phone's bench, with its practical locked until the transaction ends. Raises `NoSuchBench`."""
    practical = locked_practical(session, actor.practical_id)
    bench = session.get(Bench, actor.bench_id)
    if practical is None or bench is None:
        raise NoSuchBench()
    return practical, bench


def add_bench(
    session: Session, practical_id: int, number: int, now: datetime, simulated: bool = False
) -> Bench:
    """A bench's row; its number is free in this practical."""
    bench = Bench(
        practical_id=practical_id,
        number=number,
        bench_key=new_bench_key(),
        open_to_a_phone=False,
        joined_at=now,
        progress=BenchProgress.JOINED,
        progress_at=now,
        waiting_to_send=0,
        last_seen_at=now,
        simulated=simulated,
    )
    session.add(bench)
    session.flush()
    return bench


def unsent_runs(session: Session, bench_id: int) -> int:
    """How many unsent runs the bench's phones hold together, as each last said."""
    session.flush()
    total = session.scalar(
        select(func.sum(BenchPhone.waiting_to_send)).where(
            BenchPhone.bench_id == bench_id, BenchPhone.left_at.is_(None)
        )
    )
    return int(total or 0)
