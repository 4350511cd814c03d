"""The first head of an installation that nobody can sign in to yet, made in the browser.

Whoever does it shows with a code that they can read the server's console. The code is made at each start,
lives in the memory of that process alone, and is worth nothing once there is a teacher.
"""

from __future__ import annotations

import hmac
from datetime import datetime

from sqlalchemy import select

from app.practicals.people import credentials
from app.practicals.people.access import access_changing
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import digest, tidy_code
from app.practicals.people.departments import found_department
from app.practicals.people.log import add_to_log
from app.practicals.people.pauses import Attempt
from app.practicals.people.sessions import identity
from app.practicals.people.teachers import TeacherProblem, add_account, new_teacher, refuse_while_pausing
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.errors import Conflict
from app.records.models import AccessMark, Teacher
from app.words import N_


class HeadThere(Conflict):
    """Somebody can sign in already."""

    sentence = N_("There is somebody who can sign in already. Ask the head of department for an invitation.")


def nobody_yet(database: Database) -> bool:
    """Whether the records know no teacher at all."""
    with database.reading() as session:
        return session.scalar(select(Teacher.id).limit(1)) is None


def make_first_head(
    database: Database,
    *,
    code: str,
    expected_digest: str | None,
    login: str,
    name: str,
    department: str,
    password: str,
    now: datetime,
) -> TeacherIdentity:
    """Found the department and make its head. Wrong codes are slowed, whoever types them."""
    if not nobody_yet(database):
        raise HeadThere()
    attempt = Attempt.at_first_code()
    refuse_while_pausing(database, attempt, now)
    if expected_digest is None or not hmac.compare_digest(digest(tidy_code(code)), expected_digest):
        attempt.note_failure(database, now, None)
        raise TeacherProblem(
            "code",
            N_(
                "This is not the code that the server printed when it was started. Look at its console; a"
                " new start prints a new one."
            ),
        )
    department = department.strip()
    checked = new_teacher(login=login, name=name, department=department, password=password)
    with access_changing(database) as session:
        session.scalars(select(AccessMark).with_for_update()).one()  # two who try at once take turns here
        if session.scalar(select(Teacher.id).limit(1)) is not None:
            raise HeadThere()
        credentials.forget_failures(session, attempt.subject)
        owner = found_department(session, department, now)
        head = identity(add_account(session, owner.id, checked, Role.HEAD, now))
        add_to_log(session, LogKind.TEACHER_ADDED, head, now, teacher_id=head.teacher_id, detail=Role.HEAD)
        return head
