"""Runs as they stand: what a bench sees of its own, what a teacher sees of all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from sqlalchemy import ColumnElement, Select, bindparam, func, or_, select
from sqlalchemy.orm import Session, aliased

from app.physics.run import QUANTITIES
from app.practicals.kit.of_bench import pieces_named
from app.practicals.lesson.permission import practical_to_see
from app.practicals.people.actors import Actor, BenchIdentity, TeacherIdentity
from app.practicals.runs.entry import RunEntry, entry_of
from app.records.choices import ActorKind, DecisionAction, HistoryKind, PieceKind
from app.records.engine import Database
from app.records.errors import NotFound
from app.records.models import Bench, Decision, Practical, Run, RunVersion
from app.records.models.run import waits_for_teacher
from app.words import N_

OWN_CALCULATION = HistoryKind.OWN_CALCULATION.value
"""The reason of a version that only adds what the bench worked out itself: its readings stay as sent."""


class NoSuchRun(NotFound):
    """No such run, or another bench's."""

    sentence = N_("There is no such run at this bench. Go back to your own runs.")


@dataclass(frozen=True)
class RunDetails:
    """One run as it stands."""

    run_id: int
    bench_id: int
    bench_number: int
    number: int
    version: int
    run_revision: int
    entry: RunEntry
    set_aside: bool
    simulated: bool
    entered_by: ActorKind
    first_sent_at: datetime
    start_read_at: datetime | None
    client_time: datetime | None
    corrections: int
    left_to_ask: bool = False
    came_too_fast: bool = False
    waits: bool = False
    """It came too fast, and nobody has decided about it: it does not count."""
    pieces: Mapping[PieceKind, int] = field(default_factory=dict)
    """The pieces of kit with which it was made."""

    @property
    def waits_for_an_answer(self) -> bool:
        """Whether the bench has still to say that an unlikely reading stands; none once it is set aside."""
        return self.left_to_ask and not self.set_aside

    @property
    def counts(self) -> bool:
        """Whether it is in the class's result."""
        return not (self.set_aside or self.waits)

    @property
    def held_back(self) -> bool:
        """Whether it came too fast and does not count: for the class it is not there."""
        return self.came_too_fast and not self.counts

    @property
    def corrected(self) -> bool:
        """Whether earlier readings are in the history; a bench's own calculation changes no reading."""
        return self.corrections > 0


def one_run(database: Database, *, actor: Actor, run_id: int) -> RunDetails:
    """One run for a page that shows or corrects it."""
    with database.reading() as session:
        run = session.get(Run, run_id)
        if run is None:
            raise NoSuchRun()
        if isinstance(actor, BenchIdentity):
            visible = run.bench_id == actor.bench_id
        else:
            practical = session.get_one(Practical, run.practical_id)
            visible = practical.department_id == actor.department_id
        if not visible:
            raise NoSuchRun()
        return next(one for one in runs_in(session, run.practical_id, run.bench_id) if one.run_id == run_id)


@dataclass(frozen=True)
class RunsUntil:
    """A moment of the past: the last version of a run and the last decision that belong to it."""

    version_id: int
    decision_id: int


def runs_in(
    session: Session, practical_id: int, bench_id: int | None = None, until: RunsUntil | None = None
) -> list[RunDetails]:
    """The runs of a practical by bench and number, each in its latest version, or as they stood then."""
    wanted = _runs(until).where(Run.practical_id == practical_id)
    if bench_id is not None:
        wanted = wanted.where(Run.bench_id == bench_id)
    return [_details(*row) for row in session.execute(wanted)]


def newest_runs_in(session: Session, bench_id: int, count: int, number: int = 0) -> list[RunDetails]:
    """The last few runs of a bench, and its run of this number: as much work however many it has."""
    asked = {"bench_id": bench_id, "count": count, "number": number}
    return [_details(*row) for row in session.execute(_NEWEST, asked)]


def _runs(until: RunsUntil | None = None) -> Select[Run, RunVersion, int, int, bool, bool]:
    corrections = select(func.count(RunVersion.id)).where(
        RunVersion.run_id == Run.id, RunVersion.version > 1, RunVersion.reason != OWN_CALCULATION
    )
    version: ColumnElement[int] = Run.latest_version.expression
    set_aside: ColumnElement[bool] = Run.set_aside.expression
    waits = waits_for_teacher(None if until is None else until.decision_id)
    if until is not None:
        corrections = corrections.where(RunVersion.id <= until.version_id)
        version, set_aside = _version_then(until), _set_aside_then(until)
    return (
        select(Run, RunVersion, Bench.number, corrections.correlate(Run).scalar_subquery(), set_aside, waits)
        .select_from(Run)
        .join(RunVersion, (RunVersion.run_id == Run.id) & (RunVersion.version == version))
        .join(Bench, Bench.id == Run.bench_id)
        .order_by(Bench.number, Run.number)
    )


_NEWEST = _runs().where(
    Run.bench_id == bindparam("bench_id"),
    or_(
        Run.number
        > select(func.max(Run.number)).where(Run.bench_id == bindparam("bench_id")).scalar_subquery()
        - bindparam("count"),
        Run.number == bindparam("number"),
    ),
)


def _details(
    run: Run, version: RunVersion, bench_number: int, corrected: int, aside: bool, waits: bool
) -> RunDetails:
    return RunDetails(
        run_id=run.id,
        bench_id=run.bench_id,
        bench_number=bench_number,
        number=run.number,
        version=version.version,
        run_revision=run.revision,
        entry=entry_of(version),
        set_aside=aside,
        simulated=run.simulated,
        entered_by=version.actor_kind,
        first_sent_at=run.created_at,
        start_read_at=version.start_read_at,
        client_time=version.client_time,
        corrections=corrected,
        left_to_ask=run.left_to_ask,
        came_too_fast=run.came_too_fast,
        waits=waits,
        pieces=pieces_named(run),
    )


@dataclass(frozen=True)
class StoredRuns:
    """What the desk has to know of a class before it takes in more: no reading here is simulated.

    `last_numbers`: of the last run of each bench. `numbers_of`: the number of the bench's run that has, or
    had before it was corrected, these exact values, in the order of `QUANTITIES`. `keys`: the run's number
    by the key with which it came in.
    """

    last_numbers: Mapping[int, int]
    keys: Mapping[str, int]
    numbers_of: Mapping[tuple[int, tuple[Decimal | None, ...]], int]


def stored_runs(database: Database, *, actor: TeacherIdentity, practical_id: int) -> StoredRuns:
    """The runs of a practical by the values that were read, every version, for those who may see it."""
    columns = [getattr(RunVersion, quantity.si_name) for quantity in QUANTITIES.values()]
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        rows = session.execute(
            select(Bench.number, Run.number, Run.idempotency_key, *columns)
            .select_from(Run)
            .join(RunVersion, RunVersion.run_id == Run.id)
            .join(Bench, Bench.id == Run.bench_id)
            .where(Run.practical_id == practical_id, ~Run.simulated)
            .order_by(Run.number)
        ).all()
    return StoredRuns(
        {bench: number for bench, number, *_rest in rows},
        {key: number for _bench, number, key, *_values in rows},
        {(bench, tuple(values)): number for bench, number, _key, *values in rows},
    )


def _version_then(until: RunsUntil) -> ColumnElement[int]:
    """The number of the run's last version then; NULL, so that the run is left out, where it had none."""
    then = aliased(RunVersion)
    last = select(func.max(then.version)).where(then.run_id == Run.id, then.id <= until.version_id)
    return last.correlate(Run).scalar_subquery()


def _set_aside_then(until: RunsUntil) -> ColumnElement[bool]:
    """Whether the run's last decision then had set it aside; without a decision a run counts."""
    last = (
        select(Decision.action)
        .where(Decision.run_id == Run.id, Decision.id <= until.decision_id)
        .order_by(Decision.id.desc())
        .limit(1)
        .correlate(Run)
        .scalar_subquery()
    )
    return func.coalesce(last, DecisionAction.COUNTED) == DecisionAction.SET_ASIDE
