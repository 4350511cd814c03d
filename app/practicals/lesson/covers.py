"""A lesson in a colleague's hands: for some days, or for good.

Who covers a practical runs it as its teacher does (`TeacherIdentity.covers`); it stays its teacher's, who
ends that at any time, as the head does. Given for good, it is the colleague's own. Both stand in its history,
by the number of the colleague's account, so that a person who is removed is not named there.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import ColumnElement, Row, and_, select
from sqlalchemy.orm import Session, aliased

from app.practicals.lesson.permission import note_change, practical_to_give_away, practical_to_see
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.log import add_to_log
from app.records.choices import HistoryKind, LogKind, Role
from app.records.engine import Database
from app.records.errors import FieldProblem
from app.records.models import Cover, Practical, Teacher
from app.words import N_

LONGEST_COVER = timedelta(days=366)
"""Who takes a lesson for longer has it for good (our own choice)."""


class HandOverProblem(FieldProblem):
    """The lesson cannot be handed over as asked."""


@dataclass(frozen=True)
class CoverNow:
    """Who runs a practical in whose place, and until which midnight."""

    practical_id: int
    teacher_id: int
    teacher: str
    owner: str
    ends_at: datetime


def candidates(database: Database, *, actor: TeacherIdentity, practical_id: int) -> list[Row[int, str]]:
    """Who could take the practical over, by name: each row has `id` and `name`."""
    with database.reading() as session:
        practical = practical_to_see(session, actor, practical_id)
        wanted = select(Teacher.id, Teacher.name).where(_could_take(practical))
        return list(session.execute(wanted.order_by(Teacher.name, Teacher.id)))


def _could_take(practical: Practical) -> ColumnElement[bool]:
    """Teachers and heads of the department who can sign in, but for its own teacher."""
    return and_(
        Teacher.department_id == practical.department_id,
        Teacher.is_active,
        Teacher.role != Role.TECHNICIAN,
        Teacher.id != practical.teacher_id,
    )


def covers_of_department(database: Database, *, actor: TeacherIdentity, now: datetime) -> dict[int, CoverNow]:
    """The practicals of the department that are covered at this moment, by their numbers."""
    with database.reading() as session:
        found = _covers(session, now, Practical.department_id == actor.department_id)
        return {cover.practical_id: cover for cover in found}


def cover_of(
    database: Database, *, actor: TeacherIdentity, practical_id: int, now: datetime
) -> CoverNow | None:
    """Who covers this practical at this moment, if anybody does."""
    with database.reading() as session:
        practical = practical_to_see(session, actor, practical_id)
        return next(iter(_covers(session, now, Cover.practical_id == practical.id)), None)


def give_cover(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    to: int,
    last_day: date,
    ends_at: datetime,
    now: datetime,
) -> str:
    """Let a colleague run it up to and with a day; an earlier cover ends. The colleague's name."""
    if ends_at > now + LONGEST_COVER:
        raise HandOverProblem(
            "last_day",
            N_("That day is more than a year away. Choose an earlier one, or hand it over for good."),
        )
    if ends_at <= now:
        raise HandOverProblem("last_day", N_("That day is over. Choose today or a later day."))
    with database.writing() as session:
        practical = practical_to_give_away(session, actor, practical_id)
        colleague = _colleague(session, practical, to)
        _end_covers(session, practical, now)
        session.add(Cover(practical_id=practical.id, teacher_id=colleague.id, given_at=now, ends_at=ends_at))
        detail = f"{colleague.id} {last_day.isoformat()}"
        note_change(session, practical, HistoryKind.COVER_GIVEN, actor, now, detail)
        about = {"teacher_id": colleague.id, "practical_id": practical.id}
        add_to_log(session, LogKind.HANDED_OVER, actor, now, detail=f"until {last_day.isoformat()}", **about)
        return colleague.name


def give_for_good(
    database: Database, *, actor: TeacherIdentity, practical_id: int, to: int, now: datetime
) -> str:
    """It is the colleague's own practical from now on; that colleague's name."""
    with database.writing() as session:
        practical = practical_to_give_away(session, actor, practical_id)
        colleague = _colleague(session, practical, to)
        _end_covers(session, practical, now)
        practical.teacher_id = colleague.id
        note_change(session, practical, HistoryKind.OWNER_CHANGED, actor, now, str(colleague.id))
        about = {"teacher_id": colleague.id, "practical_id": practical.id}
        add_to_log(session, LogKind.HANDED_OVER, actor, now, detail="for good", **about)
        return colleague.name


def end_cover(database: Database, *, actor: TeacherIdentity, practical_id: int, now: datetime) -> None:
    """Its teacher alone runs it again, and the head. Where nobody covers it nothing changes."""
    with database.writing() as session:
        practical = practical_to_give_away(session, actor, practical_id)
        for number in _end_covers(session, practical, now):
            note_change(session, practical, HistoryKind.COVER_ENDED, actor, now, str(number))


def _colleague(session: Session, practical: Practical, teacher_id: int) -> Teacher:
    teacher = session.scalar(select(Teacher).where(_could_take(practical), Teacher.id == teacher_id))
    if teacher is None:
        raise HandOverProblem("to", N_("Choose a colleague from the list, who can sign in and runs lessons."))
    return teacher


def _end_covers(session: Session, practical: Practical, now: datetime) -> list[int]:
    """End what runs, and say whose accounts covered it."""
    running = select(Cover).where(Cover.practical_id == practical.id, Cover.runs_at(now))
    ended = session.scalars(running).all()
    for cover in ended:
        cover.ended_at = now
    return [cover.teacher_id for cover in ended]


def _covers(session: Session, now: datetime, *which: ColumnElement[bool]) -> list[CoverNow]:
    owner = aliased(Teacher)
    rows = session.execute(
        select(Cover.practical_id, Cover.teacher_id, Teacher.name, owner.name, Cover.ends_at)
        .join(Practical, Practical.id == Cover.practical_id)
        .join(Teacher, Teacher.id == Cover.teacher_id)
        .join(owner, owner.id == Practical.teacher_id)
        .where(Cover.runs_at(now), *which)
        .order_by(Cover.id)
    )
    return [CoverNow(*row) for row in rows]
