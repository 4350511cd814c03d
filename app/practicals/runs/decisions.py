"""The teacher's decisions about runs: set aside, or counted again, each with its reason and kept for good."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from app.practicals.lesson.permission import practical_to_see, raise_revision, result_may_have_changed
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.reading import OWN_CALCULATION
from app.practicals.runs.refusals import LONGEST_REASON, ReasonMissing
from app.practicals.runs.sending import run_to_change
from app.records.choices import DecisionAction
from app.records.engine import Database
from app.records.errors import Conflict
from app.records.models import Decision, Practical, Run, RunVersion, Teacher
from app.words import N_, Message


@dataclass(frozen=True)
class SavedDecision:
    """A decision that is on the disk; `run_revision` is what the next decision builds on."""

    run_id: int
    bench_number: int
    run_number: int
    set_aside: bool
    run_revision: int
    revision: int


@dataclass(frozen=True)
class LastDecision:
    """What was decided last about a run, in whose words."""

    action: DecisionAction
    reason: str
    teacher: str
    at: datetime


class DecidedMeanwhile(Conflict):
    """Someone else changed this run after the page was loaded; the message says what they did."""


class RunOfAnotherTime(Conflict):
    """A page names a state that the run has never had: an altered form, or records from a backup."""

    sentence = N_(
        "This page does not fit the run as the records have it, so nothing was changed."
        " Look at the run as it is now, then decide."
    )


def decide(
    database: Database,
    *,
    actor: TeacherIdentity,
    run_id: int,
    action: DecisionAction,
    reason: str,
    expected_revision: int,
    now: datetime,
) -> SavedDecision:
    """Set a run aside or count it; `expected_revision` is the state of the run that the teacher saw.

    The same asked again, as by a second tap on the button, changes nothing and gets the same answer.
    """
    reason = checked_reason(reason)
    with database.writing() as session:
        practical, run, bench = run_to_change(session, actor, run_id)
        wanted = action == DecisionAction.SET_ASIDE
        if not 1 <= expected_revision <= run.revision:
            raise RunOfAnotherTime()
        if run.revision != expected_revision:
            if not _is_the_same_decision(session, run, actor, action, reason, expected_revision + 1):
                raise DecidedMeanwhile(_what_changed(session, run, bench.number, expected_revision))
        elif run.set_aside != wanted or action == DecisionAction.COUNTED:
            decide_together(session, practical, [run], action, reason, actor, now)
        return SavedDecision(
            run.id, bench.number, run.number, run.set_aside, run.revision, practical.revision
        )


set_aside = partial(decide, action=DecisionAction.SET_ASIDE)
"""Leave a run out of the class result. The run stays in the record, hollow on the board."""
count_again = partial(decide, action=DecisionAction.COUNTED)
"""Count a run: take it back into the class result, or say why a flagged one stays in it."""


def checked_reason(reason: str) -> str:
    """The reason without what stands around it. Raises `ReasonMissing`."""
    reason = reason.strip()
    if not 0 < len(reason) <= LONGEST_REASON:
        raise ReasonMissing()
    return reason


def decide_together(
    session: Session,
    practical: Practical,
    runs: Iterable[Run],
    action: DecisionAction,
    reason: str,
    actor: TeacherIdentity,
    now: datetime,
) -> None:
    """Decide about these runs of a locked practical in one step: each gets a decision of its own."""
    for run in runs:
        add_decision(session, run, action, reason, actor, now)
    result_may_have_changed(session, practical, actor, now)
    raise_revision(practical)


def add_decision(
    session: Session, run: Run, action: DecisionAction, reason: str, actor: TeacherIdentity, now: datetime
) -> None:
    """Do with the run what the action says, and keep the decision; its practical is locked."""
    run.set_aside = action == DecisionAction.SET_ASIDE
    run.revision += 1
    session.add(
        Decision(
            run_id=run.id,
            action=action,
            reason=reason,
            teacher_id=actor.teacher_id,
            at=now,
            run_revision=run.revision,
            run_version=run.latest_version,
        )
    )


def decided_runs(database: Database, *, actor: TeacherIdentity, practical_id: int) -> frozenset[int]:
    """The runs about whose readings, as they stand now, somebody has decided something."""
    corrected_since = exists().where(
        RunVersion.run_id == Decision.run_id,
        RunVersion.version > Decision.run_version,
        RunVersion.reason != OWN_CALCULATION,
    )
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        found = session.scalars(
            select(Decision.run_id)
            .join(Run, Run.id == Decision.run_id)
            .where(Run.practical_id == practical_id, ~corrected_since)
        )
        return frozenset(found)


def last_decisions(
    database: Database, *, actor: TeacherIdentity, practical_id: int
) -> dict[int, LastDecision]:
    """The last decision about each run."""
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        found = session.execute(
            select(Decision.run_id, Decision.action, Decision.reason, Teacher.name, Decision.at)
            .join(Run, Run.id == Decision.run_id)
            .join(Teacher, Teacher.id == Decision.teacher_id)
            .where(Run.practical_id == practical_id)
            .order_by(Decision.id)
        )
        return {row[0]: LastDecision(*row[1:]) for row in found}


def _is_the_same_decision(
    session: Session, run: Run, actor: TeacherIdentity, action: DecisionAction, reason: str, revision: int
) -> bool:
    """Whether this teacher's same decision, with the same reason, is what made the run as it stands."""
    if run.revision != revision:
        return False
    just_so = exists().where(
        Decision.run_id == run.id,
        Decision.run_revision == revision,
        Decision.teacher_id == actor.teacher_id,
        Decision.action == action,
        Decision.reason == reason,
    )
    return bool(session.scalar(select(just_so)))


def _what_changed(session: Session, run: Run, bench_number: int, expected_revision: int) -> Message:
    place = {"bench": str(bench_number), "run": str(run.number)}
    latest = session.execute(
        select(Decision.action, Decision.reason, Teacher.name)
        .join(Teacher, Teacher.id == Decision.teacher_id)
        .where(Decision.run_id == run.id, Decision.run_revision > expected_revision)
        .order_by(Decision.run_revision.desc())
    ).first()
    if latest is None:
        sentence = N_(
            "Bench %(bench)s, run %(run)s was corrected after you opened this page."
            " Look at the new readings, then decide."
        )
        return Message(sentence, place)
    if latest.action == DecisionAction.SET_ASIDE:
        sentence = N_(
            "%(teacher)s has just set bench %(bench)s, run %(run)s aside (“%(reason)s”)."
            " Look again, then decide."
        )
    else:
        sentence = N_(
            "%(teacher)s has just counted bench %(bench)s, run %(run)s again (“%(reason)s”)."
            " Look again, then decide."
        )
    return Message(sentence, place | {"teacher": latest.name, "reason": latest.reason})
