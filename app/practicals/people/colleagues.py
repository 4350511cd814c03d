"""What is done about the accounts of others: listing them, switching one off or on, a password, a role.

The head of department does it on a page, whoever looks after the installation with a command.
What a teacher did stays under that teacher's name whatever happens here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.people import departments
from app.practicals.people.access import access_changing
from app.practicals.people.actors import TeacherIdentity, is_removed
from app.practicals.people.departments import require_head
from app.practicals.people.log import add_to_log
from app.practicals.people.sessions import end_access
from app.practicals.people.teachers import hash_new_password, known_about, replace_password, tidy_login
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.errors import Conflict, NotFound
from app.records.models import SecondStep, Teacher
from app.records.models.people import LONGEST_LOGIN
from app.words import N_


class NoSuchTeacher(NotFound):
    """No teacher has this sign-in name."""

    sentence = N_("No teacher signs in as “%(login)s”. Check the name.")


class PersonRemoved(Conflict):
    """The person of this account was removed for good."""

    sentence = N_("This person was removed from the records. Nobody can sign in with that account again.")


class NameAlone(Conflict):
    """The row is a name that a file brought in."""

    sentence = N_(
        "This is only a name from a file that was brought in; nobody signs in with it. Invite the person, who"
        " then has an account of their own."
    )


@dataclass(frozen=True)
class Colleague:
    """One teacher of the department."""

    teacher_id: int
    login: str
    name: str
    role: Role
    is_active: bool
    has_second_step: bool = False
    is_name_alone: bool = False
    """Whether this is no account: a file that was brought in names the person."""

    @property
    def is_removed(self) -> bool:
        """Whether the person was removed from the account."""
        return is_removed(self.name)


def colleagues(database: Database, *, actor: TeacherIdentity) -> list[Colleague]:
    """The department's teachers by name, those who are switched off last."""
    with database.reading() as session:
        require_head(session, actor)
        rows = session.scalars(
            select(Teacher)
            .where(Teacher.department_id == actor.department_id)
            .order_by(Teacher.is_active.desc(), Teacher.name, Teacher.id)
        )
        with_step = set(
            session.scalars(select(SecondStep.teacher_id).where(SecondStep.on_since.is_not(None)))
        )
        return [replace(_colleague(row), has_second_step=row.id in with_step) for row in rows]


def switch_colleague(
    database: Database, *, actor: TeacherIdentity, teacher_id: int, active: bool, now: datetime
) -> Colleague:
    """Let a teacher sign in again, or no longer: then every sign-in of that teacher ends at once."""
    with access_changing(database) as session:
        teacher = departments.colleague_to_change(session, actor, teacher_id)
        if active and is_removed(teacher.name):
            raise PersonRemoved()
        if active and teacher.brought_in_as is not None:
            raise NameAlone()
        if not active:
            departments.refuse_if_last_head(session, teacher)
        if teacher.is_active != active:
            kind = LogKind.SWITCHED_ON if active else LogKind.SWITCHED_OFF
            add_to_log(session, kind, actor, now, teacher_id=teacher.id)
        teacher.is_active = active
        if not active:
            end_access(session, teacher, now)
        return _colleague(teacher)


def set_colleague_role(
    database: Database, *, actor: TeacherIdentity, teacher_id: int, role: Role, now: datetime
) -> Colleague:
    """Give a teacher of the department a role; there may be several heads."""
    with access_changing(database) as session:
        teacher = departments.colleague_to_change(session, actor, teacher_id)
        _give_role(session, teacher, role, actor, now)
        return _colleague(teacher)


def set_password(database: Database, *, login: str, password: str, now: datetime) -> str:
    """Give a teacher a new password and end their sessions; the name that colleagues see."""
    with database.reading() as session:
        about = known_about(session, _teacher_by_login(session, login).id)
    replacement = hash_new_password(password, about)
    with access_changing(database) as session:
        teacher = _teacher_by_login(session, login)
        replace_password(session, teacher, replacement, now)
        add_to_log(
            session,
            LogKind.PASSWORD_RESET,
            None,
            now,
            department_id=teacher.department_id,
            teacher_id=teacher.id,
        )
        return teacher.name


def set_role(database: Database, *, login: str, role: Role, now: datetime) -> tuple[str, str]:
    """For whoever looks after the installation; the teacher's name and the department's."""
    with access_changing(database) as session:
        department = departments.locked_department(session, _teacher_by_login(session, login).department_id)
        teacher = _teacher_by_login(session, login)
        _give_role(session, teacher, role, None, now)
        return teacher.name, department.name


def _give_role(
    session: Session, teacher: Teacher, role: Role, actor: TeacherIdentity | None, now: datetime
) -> None:
    """Give a teacher this role and log it where it is another one. The department's row must be locked."""
    if role is Role.HEAD and not teacher.is_active:
        raise departments.SwitchedOff()
    if role is not Role.HEAD:
        departments.refuse_if_last_head(session, teacher)
    if teacher.role is not role:
        teacher.role = role
        about = {"department_id": teacher.department_id, "teacher_id": teacher.id}
        add_to_log(session, LogKind.ROLE_CHANGED, actor, now, detail=role, **about)


def _teacher_by_login(session: Session, login: str) -> Teacher:
    """The teacher's row, as it is now."""
    wanted = select(Teacher).where(Teacher.login == tidy_login(login)[:LONGEST_LOGIN])
    teacher = session.scalar(wanted, execution_options={"populate_existing": True})
    if teacher is None:
        raise NoSuchTeacher(login=login[:LONGEST_LOGIN])
    return teacher


def _colleague(row: Teacher) -> Colleague:
    name_alone = row.brought_in_as is not None
    return Colleague(row.id, row.login, row.name, row.role, row.is_active, is_name_alone=name_alone)
