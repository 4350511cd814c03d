"""Links that let one person in once: an invitation to the department, and the way to a new password.

A head makes one and gives it away; what is typed behind it, the password above all, the head never learns.
The records hold the digest of its token. A link is worth nothing once it was used, withdrawn or has run out,
or once who made it is no head any more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.people.access import access_changing
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import digest, is_possible, new_token
from app.practicals.people.departments import colleague_row, require_head
from app.practicals.people.log import add_to_log
from app.practicals.people.sessions import end_links, identity
from app.practicals.people.teachers import (
    TeacherProblem,
    add_account,
    hash_new_password,
    known_about,
    new_teacher,
    replace_password,
)
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.errors import Conflict, NotFound
from app.records.models import Teacher, WayIn
from app.records.models.people import LONGEST_NAME
from app.words import N_

INVITATION_LASTS, NEW_PASSWORD_LASTS = timedelta(days=7), timedelta(days=1)
"""Own choice: an invitation may wait over a weekend; who forgot a password is waiting for it."""
LINKS_KEPT = timedelta(days=30)


class LinkUnknown(NotFound):
    """No link has this token."""

    sentence = N_("This link leads nowhere. Check that it was copied whole, or ask the head for another one.")


class LinkUsed(Conflict):
    """It was used, or withdrawn by a head."""

    sentence = N_(
        "This link was used already, or taken back. If it was not you who used it, tell the head of"
        " department; ask for another link."
    )


class LinkRanOut(Conflict):
    """Its time is over."""

    sentence = N_("This link has run out. Ask the head of department for another one.")


class OwnLink(Conflict):
    """The head's own password is changed with the present one."""

    sentence = N_("Your own password is changed under “Change your password”. Nothing was changed.")


class InvitationGone(NotFound):
    """It was used, taken back or has run out meanwhile, or is another department's."""

    sentence = N_("There is no such open invitation. Go back to the list of teachers.")


@dataclass(frozen=True)
class MadeLink:
    """A fresh link: the token is told this once."""

    token: str
    name: str
    role: Role | None
    expires_at: datetime


@dataclass(frozen=True)
class OpenLink:
    """What stands behind a link: an invitation with a role, or (`login`) the new password of an account."""

    name: str
    department: str
    role: Role | None
    login: str
    expires_at: datetime


@dataclass(frozen=True)
class Invitation:
    """One that is open, as the head's list shows it."""

    way_in_id: int
    name: str
    role: Role
    expires_at: datetime


def invite(database: Database, *, actor: TeacherIdentity, name: str, role: Role, now: datetime) -> MadeLink:
    """Make a link for somebody who is to come into the head's department."""
    name = name.strip()
    if not 0 < len(name) <= LONGEST_NAME:
        raise TeacherProblem("name", N_("Give the name, up to 120 characters."))
    with database.writing() as session:
        require_head(session, actor)
        add_to_log(session, LogKind.TEACHER_INVITED, actor, now, detail=role)
        return _made(session, actor, now, INVITATION_LASTS, name=name, role=role)


def make_password_link(
    database: Database, *, actor: TeacherIdentity, teacher_id: int, now: datetime
) -> MadeLink:
    """Make a link behind which a colleague types a new password; an earlier one is worth nothing any more."""
    if teacher_id == actor.teacher_id:
        raise OwnLink()
    with database.writing() as session:
        require_head(session, actor)
        teacher = colleague_row(session, actor, teacher_id)
        end_links(session, teacher.id, now)
        add_to_log(session, LogKind.PASSWORD_RESET, actor, now, teacher_id=teacher.id)
        made = _made(session, actor, now, NEW_PASSWORD_LASTS, name="", teacher_id=teacher.id)
        return replace(made, name=teacher.name)


def open_invitations(database: Database, *, actor: TeacherIdentity, now: datetime) -> list[Invitation]:
    """Those of the head's department that can still be used."""
    wanted = select(WayIn).where(
        WayIn.department_id == actor.department_id,
        WayIn.role.is_not(None),
        WayIn.ended_at.is_(None),
        WayIn.expires_at > now,
    )
    with database.reading() as session:
        require_head(session, actor)
        rows = session.scalars(wanted.order_by(WayIn.id)).all()
        return [Invitation(row.id, row.name, row.role, row.expires_at) for row in rows if row.role]


def take_back(database: Database, *, actor: TeacherIdentity, way_in_id: int, now: datetime) -> str:
    """An invitation is worth nothing any more; whom it was for."""
    with database.writing() as session:
        require_head(session, actor)
        row = session.get(WayIn, way_in_id, with_for_update=True)
        if (
            row is None
            or row.department_id != actor.department_id
            or row.role is None
            or row.ended_at is not None
        ):
            raise InvitationGone()
        row.ended_at = now
        return row.name


def opened_link(database: Database, *, token: str, now: datetime) -> OpenLink:
    """What a link opens; raises one of the problems above where it opens nothing."""
    with database.reading() as session:
        row = _usable(session, token, now)
        login = row.teacher.login if row.teacher else ""
        name = row.teacher.name if row.teacher else row.name
        return OpenLink(name, row.department.name, row.role, login, row.expires_at)


def accept_invitation(
    database: Database, *, token: str, login: str, name: str, password: str, now: datetime
) -> TeacherIdentity:
    """Come into the department with a sign-in name and a password of one's own."""
    link = opened_link(database, token=token, now=now)
    checked = new_teacher(login=login, name=name, department=link.department, password=password)
    with access_changing(database) as session:
        row = _usable(session, token, now, lock=True)
        if row.role is None:
            raise LinkUnknown()
        person = identity(add_account(session, row.department_id, checked, row.role, now))
        row.ended_at = now
        add_to_log(session, LogKind.TEACHER_ADDED, person, now, teacher_id=person.teacher_id, detail=row.role)
        return person


def take_new_password(database: Database, *, token: str, password: str, now: datetime) -> TeacherIdentity:
    """Set the password of the account that the link is for; every sign-in of it ends."""
    with database.reading() as session:
        row = _usable(session, token, now)
        if row.teacher_id is None:
            raise LinkUnknown()
        about = known_about(session, row.teacher_id)
    replacement = hash_new_password(password, about)
    with access_changing(database) as session:
        row = _usable(session, token, now, lock=True)
        teacher = session.get_one(Teacher, row.teacher_id)
        row.ended_at = now
        replace_password(session, teacher, replacement, now)
        person = identity(teacher)
        add_to_log(session, LogKind.PASSWORD_CHANGED, person, now, teacher_id=person.teacher_id)
        return person


def _made(
    session: Session,
    actor: TeacherIdentity,
    now: datetime,
    lasts: timedelta,
    *,
    name: str,
    role: Role | None = None,
    teacher_id: int | None = None,
) -> MadeLink:
    token = new_token()
    session.add(
        WayIn(
            department_id=actor.department_id,
            teacher_id=teacher_id,
            role=role,
            name=name,
            token_digest=digest(token),
            made_by_id=actor.teacher_id,
            made_at=now,
            expires_at=now + lasts,
        )
    )
    return MadeLink(token, name, role, now + lasts)


def _usable(session: Session, token: str, now: datetime, *, lock: bool = False) -> WayIn:
    wanted = select(WayIn).where(WayIn.token_digest == digest(token))
    row = session.scalar(wanted.with_for_update(of=WayIn) if lock else wanted) if is_possible(token) else None
    if row is None:
        raise LinkUnknown()
    by = row.made_by
    trusted = by.is_active and by.role is Role.HEAD and by.department_id == row.department_id
    if row.ended_at is not None or not trusted or (row.teacher is not None and not row.teacher.is_active):
        raise LinkUsed()
    if row.expires_at <= now:
        raise LinkRanOut()
    return row
