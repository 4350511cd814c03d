"""What a bench's phone may know of its practical, and what it tells of itself while the class works."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.physics.limits import MOST_INVERSIONS
from app.practicals.benches.rows import NoSuchBench, own_bench, unsent_runs
from app.practicals.benches.watch import BenchDetails, benches_in
from app.practicals.lesson.details import PracticalDetails, details_of, practical_with_names
from app.practicals.lesson.permission import raise_presence
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.reading import RunDetails, newest_runs_in, runs_in
from app.records.choices import BenchProgress, PracticalState
from app.records.engine import Database
from app.records.errors import Conflict, Unprocessable
from app.records.models import BenchPhone, Run
from app.records.models.run import waits_for_teacher
from app.words import N_, Message

MOST_WAITING = 999


class LessonOver(Conflict):
    """The practical is finished: no bench asks for help, or says what it read in ice, any more."""

    sentence = N_("This practical is finished. Ask your teacher in person.")


@dataclass(frozen=True)
class AtBench:
    """What a run is held against while it is typed and sent: its practical, its bench, and the bench's runs,
    of which the last ones are enough."""

    practical: PracticalDetails
    bench: BenchDetails
    runs: tuple[RunDetails, ...]

    @property
    def next_run(self) -> int:
        """The number of the run that the bench makes next, its first being 1."""
        return 1 + max((run.number for run in self.runs), default=0)

    @property
    def last_run(self) -> RunDetails | None:
        """The bench's latest run, whose tube and shot the next one will have."""
        return self.runs[-1] if self.runs else None


@dataclass(frozen=True)
class OwnPractical(AtBench):
    """The same with all runs of the bench, and their keys."""

    keys: tuple[str, ...]

    @property
    def unanswered(self) -> tuple[RunDetails, ...]:
        """Runs whose unlikely readings the phone could not ask about; a finished practical asks nothing."""
        if self.practical.state == PracticalState.FINISHED:
            return ()
        return tuple(run for run in self.runs if run.waits_for_an_answer)


def own_practical(database: Database, *, actor: BenchIdentity) -> OwnPractical:
    """Everything that the bench's own pages show, in one look."""
    with database.reading() as session:
        practical, bench = _practical_and_bench(session, actor)
        runs = runs_in(session, actor.practical_id, actor.bench_id)
        keys = session.scalars(select(Run.idempotency_key).where(Run.bench_id == actor.bench_id)).all()
        return OwnPractical(practical, bench, tuple(runs), tuple(keys))


def at_bench(database: Database, *, actor: BenchIdentity) -> AtBench:
    """What a run that is typed or sent is held against, with the bench's last run alone."""
    with database.reading() as session:
        practical, bench = _practical_and_bench(session, actor)
        return AtBench(practical, bench, tuple(newest_runs_in(session, actor.bench_id, 1)))


def newest_runs(
    database: Database, *, actor: BenchIdentity, count: int, number: int
) -> tuple[RunDetails, ...]:
    """The last few runs of the bench, and its run of this number, which may be an older one."""
    with database.reading() as session:
        return tuple(newest_runs_in(session, actor.bench_id, count, number))


def _practical_and_bench(session: Session, actor: BenchIdentity) -> tuple[PracticalDetails, BenchDetails]:
    practical = practical_with_names(session, actor.practical_id)
    benches = benches_in(session, actor.practical_id, actor.bench_id)
    if practical is None or not benches:
        raise NoSuchBench()
    return details_of(practical), benches[0]


def numbers_waiting(database: Database, *, actor: BenchIdentity) -> list[int]:
    """The bench's runs that came too fast and wait for the teacher."""
    wanted = select(Run.number).where(Run.bench_id == actor.bench_id, waits_for_teacher())
    with database.reading() as session:
        return list(session.scalars(wanted.order_by(Run.number)))


def acknowledge_safety(database: Database, *, actor: BenchIdentity, now: datetime) -> None:
    """The bench has read the safety step; the first time counts."""
    with database.writing() as session:
        _practical, bench = own_bench(session, actor)
        if bench.safety_acknowledged_at is None:
            bench.safety_acknowledged_at = now
            raise_presence(session, actor.practical_id)


def note_progress(
    database: Database,
    *,
    actor: BenchIdentity,
    progress: str | None,
    now: datetime,
    counted_so_far: int | None = None,
    waiting_to_send: int = 0,
) -> None:
    """How far the bench's phone is; None leaves that as it was. Nothing measured is kept here."""
    reached = None if progress is None else _progress(progress)
    waiting = max(0, min(int(waiting_to_send), MOST_WAITING))
    counted = None if counted_so_far is None else max(0, min(int(counted_so_far), MOST_INVERSIONS))
    with database.writing() as session:
        _practical, bench = own_bench(session, actor)
        if reached is None:
            reached, counted = bench.progress, bench.counted_so_far
        phone = session.get_one(BenchPhone, actor.phone_id)
        phone.waiting_to_send, phone.last_seen_at = waiting, now
        total = unsent_runs(session, bench.id)
        changed = (bench.progress, bench.counted_so_far, bench.waiting_to_send) != (reached, counted, total)
        if bench.progress != reached:
            bench.progress_at = now
        bench.progress, bench.counted_so_far, bench.waiting_to_send = reached, counted, total
        bench.last_seen_at = now
        if changed:
            raise_presence(session, actor.practical_id)


def ask_for_help(database: Database, *, actor: BenchIdentity, wanted: bool, now: datetime) -> None:
    """The bench puts its hand up, or takes it down. Once the practical is finished no hand goes up."""
    with database.writing() as session:
        practical, bench = own_bench(session, actor)
        if wanted and practical.state == PracticalState.FINISHED:
            raise LessonOver()
        if (bench.asked_for_help_at is not None) != wanted:
            bench.asked_for_help_at = now if wanted else None
            raise_presence(session, actor.practical_id)


def _progress(said: str) -> BenchProgress:
    try:
        return BenchProgress(said)
    except ValueError as unknown:
        sentence = N_("The phone sent a step that is not known here. Reload the page.")
        raise Unprocessable(Message(sentence)) from unknown
