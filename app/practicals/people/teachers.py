"""Teachers: adding them, signing in and out.

Passwords are hashed with Argon2id before or after the transaction, never inside it.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.practicals.people import credentials
from app.practicals.people.access import access_changing
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import digest, is_possible, new_token
from app.practicals.people.departments import department_named, found_department
from app.records.engine import Database
from app.records.errors import Problem, Unprocessable
from app.records.models import Teacher, TeacherSession
from app.records.models.people import LONGEST_LOGIN, LONGEST_NAME
from app.words import N_, Message

HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)  # OWASP's floor for Argon2id
SESSION_HOURS = 12
KNOWN_BROWSER = timedelta(days=90)
SHORTEST_PASSWORD, LONGEST_PASSWORD = 10, 200
FREE_FAILURES = 5
LONGEST_PAUSE_SECONDS = 30
_HASHING = threading.BoundedSemaphore(4)  # a flood of sign-ins leaves processors and memory for the benches


class TeacherProblem(Unprocessable):
    """A teacher cannot be added or changed as asked; `field` is what was typed wrong."""

    def __init__(self, message: Message, field: str = "password") -> None:
        super().__init__(message)
        self.field = field


class SignInRefused(Problem):
    """The name and password do not match, or too many failed just now."""

    def __init__(self, message: Message, retry_after_seconds: int = 0) -> None:
        super().__init__(message)
        self.retry_after_seconds = retry_after_seconds


@dataclass(frozen=True)
class SignedIn:
    """A fresh session; the token goes into the browser's cookie and nowhere else."""

    token: str
    teacher: TeacherIdentity


def add_teacher(
    database: Database,
    *,
    login: str,
    name: str,
    department: str,
    password: str,
    now: datetime,
    is_head: bool = False,
    new_department: bool = False,
) -> TeacherIdentity:
    """Add a teacher to a department; with `new_department` found it, and its first teacher is its head."""
    login, name, department = tidy_login(login), name.strip(), department.strip()
    if not login or len(login) > LONGEST_LOGIN or any(c.isspace() for c in login):
        raise TeacherProblem(Message(N_("A sign-in name has 1 to 80 characters and no spaces.")), "login")
    if not 0 < len(name) <= LONGEST_NAME or not 0 < len(department) <= LONGEST_NAME:
        raise TeacherProblem(
            Message(N_("Give the teacher's name and the department, each up to 120 characters.")), "name"
        )
    password_hash = hashed(password)
    with database.writing() as session:
        if session.scalar(select(Teacher.id).where(Teacher.login == login)) is not None:
            raise TeacherProblem(
                Message(N_("There is already a teacher with that sign-in name. Choose another one.")), "login"
            )
        owner = (
            found_department(session, department, now)
            if new_department
            else department_named(session, department)
        )
        teacher = Teacher(
            department_id=owner.id,
            login=login,
            name=name,
            password_hash=password_hash,
            is_head=is_head or new_department,
            is_active=True,
            created_at=now,
        )
        session.add(teacher)
        session.flush()
        return identity(teacher)


def hashed(password: str) -> str:
    """The Argon2id hash of a password that is long enough."""
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise TeacherProblem(
            Message(
                N_("A password has %(least)s to %(most)s characters; three unrelated words do well."),
                {"least": str(SHORTEST_PASSWORD), "most": str(LONGEST_PASSWORD)},
            )
        )
    return HASHER.hash(password)


def sign_in(
    database: Database,
    *,
    login: str,
    password: str,
    address: str,
    now: datetime,
    earlier_token: str = "",
) -> SignedIn:
    """Start a session and end the one that this browser had. A browser known from before is counted apart,
    so that nobody else can slow it."""
    login = tidy_login(login)[:LONGEST_LOGIN]
    with database.reading() as session:
        teacher = session.scalar(select(Teacher).where(Teacher.login == login, Teacher.is_active))
        known = _knows_this_browser(session, teacher, earlier_token, now)
        place = f"browser {digest(earlier_token)}" if known else address
        subject = credentials.attempt_subject("sign-in", login, place)
        failed, last = credentials.failures(session, subject, now - credentials.FAILURES_KEPT)
        stored = teacher.password_hash if teacher else None
        person = identity(teacher) if teacher else None
    _refuse_while_pausing(failed, last, now)
    matches = _matches(stored or _nobodys_hash(), password)
    if person is None or not matches:
        with database.writing() as session:
            credentials.note_failure(session, subject, now)
        raise SignInRefused(Message(N_("That name and password do not match. Check both and try again.")))
    token = new_token()
    with access_changing(database) as session:
        credentials.forget_failures(session, subject)
        _end_session(session, earlier_token, now)
        session.add(
            TeacherSession(
                teacher_id=person.teacher_id,
                token_digest=digest(token),
                created_at=now,
                last_seen_at=now,
                expires_at=now + timedelta(hours=SESSION_HOURS),
            )
        )
    return SignedIn(token, person)


def sign_out(database: Database, *, token: str, now: datetime) -> None:
    """End the session on the server; the token is worth nothing from then on."""
    with access_changing(database) as session:
        _end_session(session, token, now)


def _end_session(session: Session, token: str, now: datetime) -> None:
    session.execute(
        update(TeacherSession)
        .where(TeacherSession.token_digest == digest(token), TeacherSession.ended_at.is_(None))
        .values(ended_at=now)
    )


def teacher_for_token(database: Database, *, token: str, now: datetime) -> TeacherIdentity | None:
    """The teacher whose running session this token is, or None."""
    if not is_possible(token):
        return None
    with database.reading() as session:
        row = session.scalar(
            select(Teacher)
            .join(TeacherSession, TeacherSession.teacher_id == Teacher.id)
            .where(
                TeacherSession.token_digest == digest(token),
                TeacherSession.ended_at.is_(None),
                TeacherSession.expires_at > now,
                Teacher.is_active,
            )
        )
        return identity(row) if row else None


def change_password(
    database: Database, *, teacher: TeacherIdentity, old: str, new: str, now: datetime
) -> None:
    """Set a new password and end every session of this teacher."""
    with database.reading() as session:
        stored = session.scalar(select(Teacher.password_hash).where(Teacher.id == teacher.teacher_id))
    if stored is None or not _matches(stored, old):
        raise TeacherProblem(Message(N_("The current password is not right. Nothing was changed.")))
    replacement = hashed(new)
    with access_changing(database) as session:
        replace_password(session, session.get_one(Teacher, teacher.teacher_id), replacement, now)


def replace_password(session: Session, teacher: Teacher, replacement: str, now: datetime) -> None:
    """Another password's hash; every sign-in with the old one ends."""
    teacher.password_hash = replacement
    end_sessions(session, teacher, now)


def end_sessions(session: Session, teacher: Teacher, now: datetime) -> None:
    """Sign this teacher out everywhere."""
    session.execute(
        update(TeacherSession)
        .where(TeacherSession.teacher_id == teacher.id, TeacherSession.ended_at.is_(None))
        .values(ended_at=now)
    )


def identity(teacher: Teacher) -> TeacherIdentity:
    """The frozen identity of a row."""
    return TeacherIdentity(teacher.id, teacher.department_id, teacher.login, teacher.name, teacher.is_head)


def tidy_login(login: str) -> str:
    """A sign-in name as it is stored: lower case, nothing around it, nothing invisible in it."""
    return "".join(character for character in login.strip().casefold() if character.isprintable())


def _matches(stored: str, password: str) -> bool:
    if len(password) > LONGEST_PASSWORD:
        return False
    try:
        with _HASHING:
            return HASHER.verify(stored, password)
    except (VerificationError, InvalidHashError):
        return False


@cache
def _nobodys_hash() -> str:
    """A hash that no password has, so that an unknown name takes as long as a known one."""
    return HASHER.hash(new_token())


def _refuse_while_pausing(failed: int, last: datetime | None, now: datetime) -> None:
    if last is None or failed < FREE_FAILURES:
        return
    pause = min(LONGEST_PAUSE_SECONDS, 2 ** min(failed - FREE_FAILURES + 1, 10))
    left = pause - (now - last).total_seconds()
    if left > 0:
        seconds = int(left) + 1
        raise SignInRefused(
            Message(
                N_("Several attempts failed just now. Wait %(seconds)s s, then try again."),
                {"seconds": str(seconds)},
            ),
            seconds,
        )


def _knows_this_browser(session: Session, teacher: Teacher | None, token: str, now: datetime) -> bool:
    if teacher is None or not is_possible(token):
        return False
    return (
        session.scalar(
            select(TeacherSession.id).where(
                TeacherSession.token_digest == digest(token),
                TeacherSession.teacher_id == teacher.id,
                TeacherSession.created_at > now - KNOWN_BROWSER,
            )
        )
        is not None
    )
