"""What whoever looks after the installation does for teachers: a forgotten password, someone leaving."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.practicals import departments
from app.practicals.access import access_changing
from app.practicals.teachers import hashed, tidy_login
from app.records.engine import Database
from app.records.errors import NotFound
from app.records.models import Teacher, TeacherSession
from app.words import N_, Message


class NoSuchTeacher(NotFound):
    """No teacher has this sign-in name."""

    def __init__(self, login: str) -> None:
        super().__init__(
            Message(N_("No teacher signs in as “%(login)s”. Check the name."), {"login": login[:80]})
        )


@dataclass(frozen=True)
class HeadChanged:
    """Whose place was changed, and in which department."""

    name: str
    department: str


def set_password(database: Database, *, login: str, password: str, now: datetime) -> str:
    """Give a teacher a new password and end their sessions; the name that colleagues see."""
    replacement = hashed(password)
    with access_changing(database) as session:
        teacher = teacher_by_login(session, login)
        replace_password(session, teacher, replacement, now)
        return teacher.name


def set_active(database: Database, *, login: str, active: bool, now: datetime) -> str:
    """Let a teacher sign in, or no longer; what they did stays under their name."""
    with access_changing(database) as session:
        teacher = teacher_by_login(session, login)
        switch(session, teacher, active, now)
        return teacher.name


def set_head(database: Database, *, login: str, is_head: bool) -> HeadChanged:
    """Make a teacher head, or no longer, for whoever looks after the installation."""
    with access_changing(database) as session:
        department = departments.take_turn(session, teacher_by_login(session, login).department_id)
        teacher = teacher_by_login(session, login)
        departments.change_head(session, teacher, is_head)
        return HeadChanged(teacher.name, department.name)


def teacher_by_login(session: Session, login: str) -> Teacher:
    """The teacher's row, as it is now."""
    wanted = select(Teacher).where(Teacher.login == tidy_login(login)[:80])
    teacher = session.scalar(wanted, execution_options={"populate_existing": True})
    if teacher is None:
        raise NoSuchTeacher(login)
    return teacher


def replace_password(session: Session, teacher: Teacher, replacement: str, now: datetime) -> None:
    """Another password's hash; every sign-in with the old one ends."""
    teacher.password_hash = replacement
    _end_sessions(session, teacher, now)


def switch(session: Session, teacher: Teacher, active: bool, now: datetime) -> None:
    """Let a teacher sign in, or no longer: then every sign-in ends at once."""
    teacher.is_active = active
    if not active:
        _end_sessions(session, teacher, now)


def _end_sessions(session: Session, teacher: Teacher, now: datetime) -> None:
    session.execute(
        update(TeacherSession)
        .where(TeacherSession.teacher_id == teacher.id, TeacherSession.ended_at.is_(None))
        .values(ended_at=now)
    )
