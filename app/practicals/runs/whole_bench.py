"""All runs of a bench set aside with one reason, and that step undone.

Each run keeps a decision of its own, as if it had been set aside alone. What belongs together is known by its
teacher and its instant: the decisions of one step have both in common, and no other decision has.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, exists, func, or_, select
from sqlalchemy.orm import Session

from app.practicals.benches.rows import bench_numbered
from app.practicals.lesson.permission import practical_to_run, practical_to_see
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.decisions import checked_reason, decide_together
from app.records.choices import DecisionAction
from app.records.engine import Database
from app.records.errors import Conflict
from app.records.models import Bench, Decision, Run, Teacher
from app.words import N_

FEWEST_RUNS = 2
"""One run that was set aside is counted again by itself."""


@dataclass(frozen=True)
class BenchAside:
    """One step that set the runs of a bench aside; `runs` are those that it still holds."""

    decision_id: int
    """The first of its decisions, by which the step is named."""
    bench_number: int
    runs: int
    reason: str
    teacher: str
    at: datetime


class NothingToSetAside(Conflict):
    """The bench has no run that counts."""

    sentence = N_("Bench %(bench)s has no run that counts, so nothing was set aside. Look at its number.")


class BenchChangedMeanwhile(Conflict):
    """A run of the bench came in, was corrected or was decided about after the page was loaded."""

    sentence = N_(
        "Bench %(bench)s has changed since you opened this page: %(runs)s of its runs count now, and nothing"
        " was set aside. Look at them, then decide."
    )


class NothingToUndo(Conflict):
    """None of the step's runs is still set aside by it."""

    sentence = N_("That is undone already, or each of its runs was decided about since. Nothing was changed.")


def state_of_bench(runs: Iterable[tuple[int, bool]]) -> str:
    """What a page saw of a bench, from the revision of each run and whether it is set aside.

    Runs are only added and revisions only rise, so the same state never comes back.
    """
    of_each = list(runs)
    return f"{len(of_each)}.{sum(revision for revision, _ in of_each)}"


def set_bench_aside(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    bench_number: int,
    reason: str,
    seen: str,
    now: datetime,
) -> int:
    """Set every run of the bench aside that counts or waits; how many there were. `seen` is its state on the
    page.

    The same asked again, as by a second tap on the button, changes nothing and gets the same answer.
    """
    reason = checked_reason(reason)
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        bench = bench_numbered(session, practical.id, bench_number)
        runs = [] if bench is None else _runs_of(session, bench.id)
        counted = [run for run in runs if not run.set_aside]
        if not counted:
            if repeated := _in_its_last_step(session, runs, actor, reason):
                return repeated
            raise NothingToSetAside(bench=bench_number)
        if state_of_bench((run.revision, run.set_aside) for run in runs) != seen:
            raise BenchChangedMeanwhile(bench=bench_number, runs=len(counted))
        decide_together(session, practical, counted, DecisionAction.SET_ASIDE, reason, actor, now)
        return len(counted)


def undo_bench_aside(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    decision_id: int,
    reason: str,
    now: datetime,
) -> int:
    """Count again what one step set aside, without the runs that were decided about since; how many.

    What waited for the teacher before that step had not counted: it stays aside (`too_fast`).
    """
    reason = checked_reason(reason)
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        first = session.scalar(
            select(Decision)
            .join(Run, Run.id == Decision.run_id)
            .where(Run.practical_id == practical.id, Decision.id == decision_id)
        )
        runs = [] if first is None else _held_by(session, first, _counted_before())
        if not runs:
            raise NothingToUndo()
        decide_together(session, practical, runs, DecisionAction.COUNTED, reason, actor, now)
        return len(runs)


def benches_aside(database: Database, *, actor: TeacherIdentity, practical_id: int) -> tuple[BenchAside, ...]:
    """The steps that still hold two runs or more, the latest first."""
    last = _last_decisions(
        Run.practical_id == practical_id, Run.set_aside.is_(True), _counted_before()
    ).subquery()
    step = (Bench.number, Decision.reason, Teacher.name, Decision.at)
    wanted = (
        select(func.min(Decision.id), func.count(), *step)
        .join(last, last.c.id == Decision.id)
        .join(Run, Run.id == Decision.run_id)
        .join(Bench, Bench.id == Run.bench_id)
        .join(Teacher, Teacher.id == Decision.teacher_id)
        .group_by(Run.bench_id, Decision.teacher_id, *step)
        .having(func.count() >= FEWEST_RUNS)
        .order_by(Decision.at.desc(), Bench.number)
    )
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        return tuple(
            BenchAside(decision_id, number, runs, reason, teacher, at)
            for decision_id, runs, number, reason, teacher, at in session.execute(wanted)
        )


def _runs_of(session: Session, bench_id: int) -> list[Run]:
    return list(session.scalars(select(Run).where(Run.bench_id == bench_id).order_by(Run.number)))


def _last_decisions(*of: ColumnElement[bool]) -> Select[Any]:
    """The last decision about each of these runs."""
    last = func.max(Decision.id).label("id")
    return select(last).join(Run, Run.id == Decision.run_id).where(*of).group_by(Decision.run_id)


def _counted_before() -> ColumnElement[bool]:
    """Whether a run that is set aside ever counted: one that came too fast does once it was let."""
    let = exists().where(Decision.run_id == Run.id, Decision.action == DecisionAction.COUNTED)
    return or_(~Run.came_too_fast, let.correlate(Run))


def _held_by(session: Session, first: Decision, *which: ColumnElement[bool]) -> list[Run]:
    """The runs of the bench whose last decision is of the same step, and which are still set aside."""
    bench_id = session.get_one(Run, first.run_id).bench_id
    last = _last_decisions(Run.bench_id == bench_id, *which).subquery()
    return list(
        session.scalars(
            select(Run)
            .join(Decision, Decision.run_id == Run.id)
            .join(last, last.c.id == Decision.id)
            .where(
                Run.bench_id == bench_id,
                Run.set_aside,
                Decision.at == first.at,
                Decision.teacher_id == first.teacher_id,
                Decision.reason == first.reason,
            )
        )
    )


def _in_its_last_step(session: Session, runs: list[Run], actor: TeacherIdentity, reason: str) -> int:
    """How many of the runs this teacher's last step with this reason set aside."""
    if not runs:
        return 0
    latest = session.scalar(
        select(Decision)
        .where(Decision.run_id.in_([run.id for run in runs]))
        .order_by(Decision.id.desc())
        .limit(1)
    )
    if latest is None or latest.teacher_id != actor.teacher_id or latest.reason != reason:
        return 0
    return len(_held_by(session, latest))
