"""Runs coming in and being corrected: each exactly once, every earlier version kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.physics.limits import MOST_BENCHES
from app.practicals.benches.joining import BadBenchNumber, add_bench, bench_numbered
from app.practicals.benches.own_bench import MOST_WAITING, unsent_runs
from app.practicals.benches.watch import NoSuchBench
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
    BadKey,
    KeyUsedOtherwise,
    NotLetIn,
    PracticalClosed,
    ReasonMissing,
    RunChangedMeanwhile,
    TooManyRuns,
    WordsTooLong,
)
from app.records.append_only import REMOVED
from app.records.choices import ActorKind, BenchProgress, PracticalState
from app.records.engine import Database
from app.records.models import Bench, BenchPhone, Practical, Run, RunVersion

MOST_RUNS = 200


@dataclass(frozen=True)
class SavedRun:
    """The answer to a run that is on the disk; a repeated send gets the same one, with `repeated` set."""

    run_id: int
    bench_number: int
    number: int
    version: int
    repeated: bool
    revision: int
    left_to_ask: bool = False


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
        if repeated := _stored_before(session, practical, bench, key, columns["body_digest"]):
            return repeated
        _require_open(practical, actor)
        bench = bench or add_bench(session, practical.id, bench_number or 0, now)
        bench.waits_for_teacher = False  # a teacher who types a run for it has let it in
        number = 1 + (session.scalar(select(func.max(Run.number)).where(Run.bench_id == bench.id)) or 0)
        if number > MOST_RUNS:
            raise TooManyRuns()
        run = add_run(session, bench, number, key, columns["body_digest"], now, left_to_ask=left_to_ask)
        _add_version(session, run, actor, now, columns, "", None, client_time, start_read_at)
        _note_sent(session, bench, actor, now, waiting_to_send)
        revision = raise_revision(practical)
        return SavedRun(run.id, bench.number, number, 1, False, revision, left_to_ask)


def add_run(
    session: Session,
    bench: Bench,
    number: int,
    key: str,
    body_digest: str,
    now: datetime,
    *,
    left_to_ask: bool = False,
) -> Run:
    """A run's row, simulated where its bench is; its first version is still to be added."""
    run = Run(
        practical_id=bench.practical_id,
        bench_id=bench.id,
        number=number,
        idempotency_key=key,
        body_digest=body_digest,
        latest_version=1,
        set_aside=False,
        left_to_ask=left_to_ask,
        revision=1,
        simulated=bench.simulated,
        created_at=now,
    )
    session.add(run)
    session.flush()
    return run


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
        raise WordsTooLong()
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
        _require_open(practical, actor, own_calculation)
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
        _add_version(session, run, actor, now, columns, reason, key, client_time, start_read_at)
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


def check_key(key: str) -> None:
    """A key has 16 to 64 characters of A–Z a–z 0–9 - _ (128 random bits in hex are 32)."""
    if not 16 <= len(key) <= 64 or not all(c.isascii() and (c.isalnum() or c in "-_") for c in key):
        raise BadKey()


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
) -> tuple[Practical, Bench | None]:
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
    if not 1 <= bench_number <= MOST_BENCHES:
        raise BadBenchNumber()
    practical = practical_to_run(session, actor, practical_id)
    remove_rehearsal_rows(session, practical.id)  # a real run never joins simulated ones
    return practical, bench_numbered(session, practical.id, bench_number)


def _stored_before(
    session: Session, practical: Practical, bench: Bench | None, key: str, digest: str
) -> SavedRun | None:
    run = session.scalar(select(Run).where(Run.idempotency_key == key))
    if run is None:
        return None
    if bench is None or run.bench_id != bench.id or run.body_digest != digest:
        raise KeyUsedOtherwise()
    return SavedRun(run.id, bench.number, run.number, 1, True, practical.revision, run.left_to_ask)


def _own_words(reason: str, own_calculation: bool) -> str:
    """The reason as typed; in quotes where it reads as a mark of the tool's own."""
    if own_calculation:
        return OWN_CALCULATION
    marks = (OWN_CALCULATION, REMOVED)
    return f"“{reason.strip()}”" if reason.strip() in marks else reason.strip()


def _require_open(practical: Practical, actor: Actor, in_a_pause: bool = False) -> None:
    in_a_pause = in_a_pause or isinstance(actor, TeacherIdentity)
    if practical.state != PracticalState.COLLECTING and not (in_a_pause and practical.state.is_open):
        raise PracticalClosed(practical.state)


def _add_version(
    session: Session,
    run: Run,
    actor: Actor,
    now: datetime,
    columns: dict[str, object],
    reason: str,
    key: str | None,
    client_time: datetime | None,
    start_read_at: datetime | None,
) -> None:
    """The run's latest version, as it was sent."""
    teacher = actor if isinstance(actor, TeacherIdentity) else None
    session.add(
        RunVersion(
            run_id=run.id,
            version=run.latest_version,
            idempotency_key=key,
            start_read_at=start_read_at,
            client_time=client_time,
            reason=reason,
            actor_kind=ActorKind.TEACHER if teacher else ActorKind.BENCH,
            teacher_id=teacher.teacher_id if teacher else None,
            at=now,
            **columns,
        )
    )
    session.flush()


def _note_sent(session: Session, bench: Bench, actor: Actor, now: datetime, waiting: int | None) -> None:
    if not isinstance(actor, BenchIdentity):
        return
    bench.progress, bench.progress_at, bench.counted_so_far = BenchProgress.SENT, now, None
    bench.last_seen_at = now
    phone = session.get(BenchPhone, actor.phone_id)
    if phone is not None:
        phone.last_seen_at = now
        if waiting is not None:
            phone.waiting_to_send = max(0, min(waiting, MOST_WAITING))
            bench.waiting_to_send = unsent_runs(session, bench.id)
