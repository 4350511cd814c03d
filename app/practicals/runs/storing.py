"""A run's rows, written within a transaction of its caller: each run once, whatever is sent again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.practicals.benches.rows import add_bench
from app.practicals.kit.of_bench import put_pieces
from app.practicals.lesson.permission import raise_presence, raise_revision
from app.practicals.people.actors import Actor, BenchIdentity, TeacherIdentity, teacher_id_of
from app.practicals.runs.pace import busy_with
from app.practicals.runs.refusals import BadKey, KeyUsedOtherwise, PracticalClosed, TooManyRuns
from app.records.choices import ActorKind, PracticalState
from app.records.models import Bench, Practical, Run, RunVersion
from app.records.models.run import waits_for_teacher

MOST_RUNS = 200
"""Of a bench, and as many again that came too fast: those keep no other run out."""


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
    waits: bool = False
    """It came too fast, and counts once the teacher lets it."""


@dataclass(frozen=True)
class AsSent:
    """What a phone says beside the readings: its clock, and whether an unlikely one is left to ask about."""

    client_time: datetime | None = None
    start_read_at: datetime | None = None
    left_to_ask: bool = False


def store_run(
    session: Session,
    practical: Practical,
    bench: Bench | int,
    actor: Actor,
    key: str,
    columns: dict[str, object],
    now: datetime,
    sent: AsSent | None = None,
) -> SavedRun:
    """Store a run as its bench's next one; `bench` is its number where the bench has not joined yet.

    A key that is stored with these very readings is answered as it was then.
    """
    sent = sent or AsSent()
    digest = str(columns["body_digest"])
    if repeated := _stored_before(session, practical, bench, key, digest):
        return repeated
    require_open(practical, actor)
    if isinstance(bench, int):
        bench = add_bench(session, practical.id, bench, now)
    bench.waits_for_teacher = False  # a teacher who types a run for it has let it in
    too_fast = isinstance(actor, BenchIdentity) and not _is_in_time(practical, bench, columns, now)
    number = _next_number(session, bench, too_fast)
    run = add_run(
        session, bench, number, key, digest, now, left_to_ask=sent.left_to_ask, came_too_fast=too_fast
    )
    put_pieces(session, run, bench.number)
    add_version(
        session, run, actor, now, columns, client_time=sent.client_time, start_read_at=sent.start_read_at
    )
    if too_fast:  # the class shows nothing of it, so no page of the class is made anew
        raise_presence(session, practical.id)
    else:
        raise_revision(practical)
    return SavedRun(run.id, bench.number, number, 1, False, practical.revision, sent.left_to_ask, too_fast)


def _is_in_time(practical: Practical, bench: Bench, columns: dict[str, object], now: datetime) -> bool:
    """Whether the bench can have made this run by now; it then was busy with it."""
    until = busy_with(
        int(str(columns["inversions"])),
        planned=practical.inversions,
        joined_at=bench.joined_at,
        busy_until=bench.busy_until,
        now=now,
    )
    if until is not None:
        bench.busy_until = until
    return until is not None


def _next_number(session: Session, bench: Bench, too_fast: bool) -> int:
    """The number of the bench's next run. Raises `TooManyRuns`."""
    of_bench = Run.bench_id == bench.id
    number = 1 + (session.scalar(select(func.max(Run.number)).where(of_bench)) or 0)
    if number > MOST_RUNS:  # few benches ever come here, and only then all of their runs are counted
        alike = select(func.count()).where(of_bench, Run.came_too_fast.is_(too_fast))
        if (session.scalar(alike) or 0) >= MOST_RUNS:
            raise TooManyRuns()
    return number


def add_run(
    session: Session,
    bench: Bench,
    number: int,
    key: str,
    body_digest: str,
    now: datetime,
    *,
    left_to_ask: bool = False,
    came_too_fast: bool = False,
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
        came_too_fast=came_too_fast,
        revision=1,
        simulated=bench.simulated,
        created_at=now,
    )
    session.add(run)
    session.flush()
    return run


def add_version(
    session: Session,
    run: Run,
    actor: Actor | None,
    now: datetime,
    columns: dict[str, object],
    *,
    reason: str = "",
    key: str | None = None,
    client_time: datetime | None = None,
    start_read_at: datetime | None = None,
) -> None:
    """The run's latest version, as sent. `actor` is None for the simulator; `key` is a correction's."""
    kind = ActorKind.TEACHER if isinstance(actor, TeacherIdentity) else ActorKind.BENCH
    session.add(
        RunVersion(
            run_id=run.id,
            version=run.latest_version,
            idempotency_key=key,
            start_read_at=start_read_at,
            client_time=client_time,
            reason=reason,
            actor_kind=kind if actor else ActorKind.SIMULATOR,
            teacher_id=teacher_id_of(actor),
            at=now,
            **columns,
        )
    )
    session.flush()


def check_key(key: str) -> None:
    """A key has 16 to 64 characters of A–Z a–z 0–9 - _ (128 random bits in hex are 32)."""
    if not 16 <= len(key) <= 64 or not all(c.isascii() and (c.isalnum() or c in "-_") for c in key):
        raise BadKey()


def require_open(practical: Practical, actor: Actor, in_a_pause: bool = False) -> None:
    """Raise `PracticalClosed` where the practical takes nothing in; a teacher may type in a pause too."""
    in_a_pause = in_a_pause or isinstance(actor, TeacherIdentity)
    if practical.state != PracticalState.COLLECTING and not (in_a_pause and practical.state.is_open):
        raise PracticalClosed(practical.state)


def _stored_before(
    session: Session, practical: Practical, bench: Bench | int, key: str, digest: str
) -> SavedRun | None:
    run = session.scalar(select(Run).where(Run.idempotency_key == key))
    if run is None:
        return None
    if isinstance(bench, int) or run.bench_id != bench.id or run.body_digest != digest:
        raise KeyUsedOtherwise()
    waits = bool(session.scalar(select(waits_for_teacher()).where(Run.id == run.id)))
    return SavedRun(run.id, bench.number, run.number, 1, True, practical.revision, run.left_to_ask, waits)
