"""Runs coming in and being corrected: each exactly once, every earlier version kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import bindparam, func, select, update
from sqlalchemy.orm import Session

from app.practicals.benches.own_bench import MOST_WAITING
from app.practicals.benches.rows import (
    NoSuchBench,
    bench_numbered,
    check_bench_number,
    unsent_runs,
)
from app.practicals.lesson.permission import (
    NoSuchPractical,
    locked_practical,
    practical_to_run,
    raise_revision,
)
from app.practicals.made_up.rehearsal_rows import remove_rehearsal_rows
from app.practicals.people.actors import Actor, BenchIdentity, TeacherIdentity
from app.practicals.runs.entry import RunEntry, check_entry, columns_of
from app.practicals.runs.reading import OWN_CALCULATION, NoSuchRun
from app.practicals.runs.refusals import (
    LONGEST_BENCH_WORDS,
    LONGEST_REASON,
    KeyUsedOtherwise,
    NotLetIn,
    PracticalClosed,
    ReasonMissing,
    RunChangedMeanwhile,
    TooManyRuns,
    WordsTooLong,
)
from app.practicals.runs.storing import (
    AsSent,
    SavedRun,
    add_version,
    check_key,
    require_open,
    store_run,
)
from app.records.append_only import REMOVED
from app.records.choices import BenchProgress, PracticalState
from app.records.engine import Database
from app.records.errors import Problem
from app.records.models import Bench, BenchPhone, Practical, Run, RunVersion


def enter_run(
    database: Database,
    *,
    actor: Actor,
    key: str,
    entry: RunEntry,
    now: datetime,
    practical_id: int | None = None,
    bench_number: int | None = None,
    client_time: datetime | None = None,
    start_read_at: datetime | None = None,
    waiting_to_send: int | None = None,
    left_to_ask: bool = False,
) -> SavedRun:
    """Store one run once. A bench enters its own; a teacher names the practical and the bench number.

    `left_to_ask`: a reading is unlikely, and the phone could not ask about it (`confirm_readings`).
    """
    check_key(key)
    check_entry(entry)
    columns = columns_of(entry)
    with database.writing() as session:
        practical, bench = _practical_and_bench(session, actor, practical_id, bench_number)
        sent = AsSent(client_time, start_read_at, left_to_ask)
        saved = store_run(session, practical, bench, actor, key, columns, now, sent)
        if isinstance(actor, BenchIdentity) and isinstance(bench, Bench) and not saved.repeated:
            _note_sent(session, bench, actor, now, waiting_to_send)
        return saved


@dataclass(frozen=True)
class TypedAtTheDesk:
    """One of several runs that a teacher types for their benches."""

    bench_number: int
    key: str
    entry: RunEntry


class OneRunRefused(Problem):
    """One of several runs is not taken in, so none is; `place` is its place among them."""

    def __init__(self, place: int, why: Problem) -> None:
        super().__init__(why.message)
        self.place = place
        self.why = why


def enter_runs(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    runs: Sequence[TypedAtTheDesk],
    now: datetime,
) -> tuple[SavedRun, ...]:
    """Store several runs in this order: all of them, or none. Sent again, each is still stored once."""
    for run in runs:
        check_key(run.key)
        check_entry(run.entry)
    columns = [columns_of(run.entry) for run in runs]
    saved = []
    with database.writing() as session:
        for place, run in enumerate(runs):
            practical, bench = _practical_and_bench(session, actor, practical_id, run.bench_number)
            try:
                saved.append(store_run(session, practical, bench, actor, run.key, columns[place], now))
            except (KeyUsedOtherwise, TooManyRuns) as why:
                raise OneRunRefused(place, why) from why
    return tuple(saved)


def correct_run(
    database: Database,
    *,
    actor: Actor,
    run_id: int,
    key: str,
    entry: RunEntry,
    reason: str,
    now: datetime,
    expected_revision: int | None = None,
    client_time: datetime | None = None,
    own_calculation: bool = False,
) -> SavedRun:
    """Append a corrected version. A bench corrects its own while collecting; a teacher gives a reason.

    A bench's words are few, and the teacher can remove them.

    A bench's own calculation changes no reading: it is no correction, and may come in a pause as well.
    """
    check_key(key)
    check_entry(entry)
    reason = _own_words(reason, own_calculation)
    if isinstance(actor, BenchIdentity) and len(reason) > LONGEST_BENCH_WORDS:
        raise WordsTooLong(most=LONGEST_BENCH_WORDS)
    if len(reason) > LONGEST_REASON or (not reason and isinstance(actor, TeacherIdentity)):
        raise ReasonMissing()
    columns = columns_of(entry)
    with database.writing() as session:
        practical, run, bench = run_to_change(session, actor, run_id)
        earlier = session.scalar(select(RunVersion).where(RunVersion.idempotency_key == key))
        if earlier is not None:
            if earlier.run_id != run.id or earlier.body_digest != columns["body_digest"]:
                raise KeyUsedOtherwise()
            return SavedRun(run.id, bench.number, run.number, earlier.version, True, practical.revision)
        require_open(practical, actor, own_calculation)
        if expected_revision is not None and run.revision != expected_revision:
            raise RunChangedMeanwhile()
        start_read_at = session.scalar(
            select(RunVersion.start_read_at).where(
                RunVersion.run_id == run.id, RunVersion.version == run.latest_version
            )
        )
        run.latest_version += 1
        run.revision += 1
        run.left_to_ask = run.left_to_ask and own_calculation
        add_version(
            session,
            run,
            actor,
            now,
            columns,
            reason=reason,
            key=key,
            client_time=client_time,
            start_read_at=start_read_at,
        )
        revision = raise_revision(practical)
        return SavedRun(run.id, bench.number, run.number, run.latest_version, False, revision)


def confirm_readings(database: Database, *, actor: BenchIdentity, run_id: int) -> int:
    """The bench's answer that its unlikely readings are what it read; the run's number.

    Saying it twice is no harm. A finished practical is closed for this as for everything else of a bench's.
    """
    with database.writing() as session:
        practical, run, _bench = run_to_change(session, actor, run_id)
        if practical.state == PracticalState.FINISHED:
            raise PracticalClosed(practical.state)
        if run.left_to_ask:
            run.left_to_ask = False
            raise_revision(practical)
        return run.number


def run_to_change(session: Session, actor: Actor, run_id: int) -> tuple[Practical, Run, Bench]:
    """The run with its practical locked, if this actor may change it."""
    practical_id = session.scalar(select(Run.practical_id).where(Run.id == run_id))
    if practical_id is None:
        raise NoSuchRun()
    if isinstance(actor, TeacherIdentity):
        practical: Practical | None = practical_to_run(session, actor, practical_id)
    else:
        practical = locked_practical(session, practical_id)
    run = session.get(Run, run_id)
    if practical is None or run is None:
        raise NoSuchRun()
    if isinstance(actor, BenchIdentity) and run.bench_id != actor.bench_id:
        raise NoSuchRun()
    return practical, run, session.get_one(Bench, run.bench_id)


def _practical_and_bench(
    session: Session, actor: Actor, practical_id: int | None, bench_number: int | None
) -> tuple[Practical, Bench | int]:
    """The practical, locked, and the bench, or its number where it has not joined yet."""
    if isinstance(actor, BenchIdentity):
        practical = locked_practical(session, actor.practical_id)
        bench = session.get(Bench, actor.bench_id)
        if practical is None:
            raise NoSuchPractical()
        if bench is None:
            raise NoSuchBench()
        if bench.waits_for_teacher:
            raise NotLetIn()
        return practical, bench
    if practical_id is None or bench_number is None:
        raise TypeError("a teacher names the practical and the bench")
    check_bench_number(bench_number)
    practical = practical_to_run(session, actor, practical_id)
    remove_rehearsal_rows(session, practical.id)  # a real run never joins simulated ones
    return practical, bench_numbered(session, practical.id, bench_number) or bench_number


def _own_words(reason: str, own_calculation: bool) -> str:
    """The reason as typed; in quotes where it reads as a mark of the tool's own."""
    if own_calculation:
        return OWN_CALCULATION
    marks = (OWN_CALCULATION, REMOVED)
    return f"“{reason.strip()}”" if reason.strip() in marks else reason.strip()


def _note_sent(
    session: Session, bench: Bench, actor: BenchIdentity, now: datetime, waiting: int | None
) -> None:
    bench.progress, bench.progress_at, bench.counted_so_far = BenchProgress.SENT, now, None
    bench.last_seen_at = now
    waiting = None if waiting is None else max(0, min(waiting, MOST_WAITING))
    session.execute(_PHONE_SEEN, {"phone_id": actor.phone_id, "now": now, "waiting": waiting})
    if waiting or (waiting == 0 and bench.waiting_to_send):  # else none of the bench's phones had any
        bench.waiting_to_send = unsent_runs(session, bench.id)


_PHONE_SEEN = (
    update(BenchPhone)
    .where(BenchPhone.id == bindparam("phone_id"))
    .values(
        last_seen_at=bindparam("now"),
        waiting_to_send=func.coalesce(bindparam("waiting"), BenchPhone.waiting_to_send),
    )
    .execution_options(synchronize_session=False)
)
