"""Departments: which there are, founding one, and who is head. The last head who can sign in stays one."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.practicals.people.actors import TeacherIdentity
from app.records.choices import Role
from app.records.engine import Database
from app.records.errors import Conflict, NotAllowed, NotFound
from app.records.models import Department, Teacher
from app.words import N_


class NoSuchDepartment(NotFound):
    """No department has this name."""

    sentence = N_(
        "There is no department “%(name)s”; there are: %(names)s."
        " Check the name, or found it with --new-department."
    )


class DepartmentThere(Conflict):
    """A department of this name, perhaps in other letters, is there already."""

    sentence = N_("There is already a department “%(name)s”. Name it with --department to join it.")


class SeveralDepartments(Conflict):
    """Nobody said which department was meant."""

    sentence = N_("There are several departments: %(names)s. Say which one with --department.")


class HeadsOnly(NotAllowed):
    """A teacher who is not head of the department asked."""

    sentence = N_("Only the head of department looks after its teachers. Ask the head to do it.")


class NoSuchColleague(NotFound):
    """No such teacher, or another department's."""

    sentence = N_("The department has no such teacher. Go back to the list of teachers.")


class LastHead(Conflict):
    """The department would be left without a head who can sign in."""

    sentence = N_(
        "This is the only head of the department who can sign in, so nobody would be left to look"
        " after its teachers. Nothing was changed. Make another teacher head first."
    )


class SwitchedOff(Conflict):
    """A teacher who is switched off was to become head."""

    sentence = N_("This teacher is switched off and cannot be head. Switch the teacher on again first.")


def only_department(database: Database) -> str | None:
    """The name of the only department, None where there is none; several raise `SeveralDepartments`."""
    with database.reading() as session:
        names = _names(session)
    if len(names) > 1:
        raise SeveralDepartments(names=", ".join(names))
    return names[0] if names else None


def department_named(session: Session, name: str) -> Department:
    """The department of this name."""
    department = session.scalar(select(Department).where(Department.name == name))
    if department is None:
        raise NoSuchDepartment(name=name, names=", ".join(_names(session)) or "–")
    return department


def found_department(session: Session, name: str, now: datetime) -> Department:
    """A new department of this name."""
    for existing in _names(session):
        if existing.casefold() == name.casefold():
            raise DepartmentThere(name=existing)
    department = Department(name=name, created_at=now)
    session.add(department)
    session.flush()
    return department


def locked_department(session: Session, department_id: int) -> Department:
    """The department's row, locked: whoever changes who is head takes their turn here, so that one stays."""
    wanted = select(Department).where(Department.id == department_id).with_for_update()
    return session.scalars(wanted, execution_options={"populate_existing": True}).one()


def require_head(session: Session, actor: TeacherIdentity) -> None:
    """As the records say now, whatever the page knew."""
    row = session.get(Teacher, actor.teacher_id, populate_existing=True)
    if row is None or not (
        row.role is Role.HEAD and row.is_active and row.department_id == actor.department_id
    ):
        raise HeadsOnly()


def colleague_row(session: Session, actor: TeacherIdentity, teacher_id: int) -> Teacher:
    """The row of somebody of the head's own department, as it is now."""
    teacher = session.get(Teacher, teacher_id, populate_existing=True)
    if teacher is None or teacher.department_id != actor.department_id:
        raise NoSuchColleague()
    return teacher


def colleague_to_change(session: Session, actor: TeacherIdentity, teacher_id: int) -> Teacher:
    """The same for a head's change of who may sign in or lead: the department's row is locked first."""
    locked_department(session, actor.department_id)
    require_head(session, actor)
    return colleague_row(session, actor, teacher_id)


def refuse_if_last_head(session: Session, teacher: Teacher) -> None:
    """Raise `LastHead` if nobody else of the department is head and can sign in. Locks nothing itself."""
    others = select(func.count()).where(
        Teacher.department_id == teacher.department_id,
        Teacher.id != teacher.id,
        Teacher.role == Role.HEAD,
        Teacher.is_active,
    )
    if teacher.role is Role.HEAD and teacher.is_active and not session.scalar(others):
        raise LastHead()


def _names(session: Session) -> list[str]:
    return list(session.scalars(select(Department.name).order_by(Department.name)))
