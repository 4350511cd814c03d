"""Deleting a practical, by a teacher or after its day, and the log of that."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session, aliased

from app.practicals.lesson.permission import practical_to_give_away
from app.practicals.people.actors import TeacherIdentity, teacher_id_of
from app.practicals.people.departments import require_head
from app.practicals.people.log import add_to_log
from app.records.choices import OPEN_STATES, LogKind
from app.records.engine import Database
from app.records.models import Deletion, Practical, Run, Teacher


@dataclass(frozen=True)
class Deleted:
    """One line of the log. `deleted_by` is a teacher's name; None where the delete-after day had passed."""

    title: str
    held_on: date
    teacher: str
    runs: int
    deleted_by: str | None
    delete_after: date | None
    at: datetime


def delete_practical(database: Database, *, actor: TeacherIdentity, practical_id: int, now: datetime) -> None:
    """Delete a practical with all its readings and decisions. There is no way back; the page asks first."""
    with database.writing() as session:
        practical = practical_to_give_away(session, actor, practical_id)
        delete_and_log(session, practical, actor, practical.delete_after, now)


def purge_expired(database: Database, *, today: date, now: datetime) -> int:
    """Delete every practical whose delete-after day has passed and that is not open; how many there were.

    While phones may still send something in, nothing is deleted by itself.
    `today` is the school's date. Of several servers that do this at the same moment, each passes over what
    another one is about to delete or to change.
    """
    due = (
        select(Practical)
        .where(Practical.delete_after < today, Practical.state.not_in(OPEN_STATES))
        .order_by(Practical.id)
        .with_for_update(skip_locked=True)
    )
    with database.writing() as session:
        practicals = session.scalars(due).all()
        for practical in practicals:
            delete_and_log(session, practical, None, practical.delete_after, now)
        return len(practicals)


def deletions(database: Database, *, actor: TeacherIdentity) -> list[Deleted]:
    """What was deleted in the head's department, the latest first."""
    owner, deleter = aliased(Teacher), aliased(Teacher)
    wanted = (
        select(Deletion, owner.name, deleter.name)
        .join(owner, owner.id == Deletion.teacher_id)
        .outerjoin(deleter, deleter.id == Deletion.deleted_by_id)
        .where(Deletion.department_id == actor.department_id)
        .order_by(Deletion.id.desc())
    )
    with database.reading() as session:
        require_head(session, actor)
        return [
            Deleted(row.title, row.held_on, teacher, row.runs, by, row.delete_after, row.at)
            for row, teacher, by in session.execute(wanted)
        ]


def delete_and_log(
    session: Session, practical: Practical, actor: TeacherIdentity | None, after: date | None, now: datetime
) -> None:
    """Delete a practical; `actor` is None where it was to be kept until the day `after` and no longer."""
    runs = select(func.count()).where(Run.practical_id == practical.id, Run.simulated.is_(False))
    session.add(
        Deletion(
            department_id=practical.department_id,
            title=practical.title,
            held_on=practical.held_on,
            teacher_id=practical.teacher_id,
            runs=session.scalar(runs) or 0,
            deleted_by_id=teacher_id_of(actor),
            delete_after=after,
            at=now,
        )
    )
    add_to_log(
        session,
        LogKind.PRACTICAL_DELETED if actor else LogKind.DELETED_BY_RULE,
        actor,
        now,
        department_id=practical.department_id,
        teacher_id=practical.teacher_id,
        practical_id=practical.id,
    )
    session.execute(delete(Practical).where(Practical.id == practical.id))
