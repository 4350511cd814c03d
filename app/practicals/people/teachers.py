"""Teachers: adding them, signing in and out.

Passwords are hashed with Argon2id before or after the transaction, never inside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.practicals.people import credentials, passwords
from app.practicals.people.access import access_changing
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.browsers import forget_browsers, known_browser, remember_browser
from app.practicals.people.credentials import digest, is_possible, new_token
from app.practicals.people.departments import department_named, found_department
from app.practicals.people.log import note
from app.practicals.people.passwords import LONGEST_PASSWORD, QUEUES
from app.practicals.people.pauses import Attempt
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.errors import Problem, Unprocessable
from app.records.models import Teacher, TeacherSession
from app.records.models.people import LONGEST_LOGIN, LONGEST_NAME
from app.words import N_, Message

SESSION_HOURS = 12
SESSIONS_KEPT = timedelta(days=90)
SHORTEST_PASSWORD = 10


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
    """A fresh session; the token goes into the browser's cookie and nowhere else, and into another one the
    proof by which this browser is known the next time."""

    token: str
    teacher: TeacherIdentity
    proof: str


def add_teacher(
    database: Database,
    *,
    login: str,
    name: str,
    department: str,
    password: str,
    now: datetime,
    role: Role = Role.TEACHER,
    new_department: bool = False,
    added_by: TeacherIdentity | None = None,
) -> TeacherIdentity:
    """Add a teacher to a department; with `new_department` found it, and its first teacher is its head.
    `added_by` is None for a command."""
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
            role=Role.HEAD if new_department else role,
            is_active=True,
            created_at=now,
        )
        session.add(teacher)
        session.flush()
        note(
            session,
            LogKind.TEACHER_ADDED,
            added_by,
            now,
            department_id=owner.id,
            teacher_id=teacher.id,
            detail=teacher.role,
        )
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
    return passwords.hash_of(password)


def sign_in(
    database: Database,
    *,
    login: str,
    password: str,
    address: str,
    now: datetime,
    earlier_token: str = "",
    proof: str = "",
) -> SignedIn:
    """Start a session and end the one that this browser had.

    A browser that proves to have signed in under this name before is counted apart: nobody else can slow it.
    """
    if not is_possible(proof):
        QUEUES.refuse_when_full()
    login = tidy_login(login)[:LONGEST_LOGIN]
    with database.reading() as session:
        teacher = session.scalar(select(Teacher).where(Teacher.login == login, Teacher.is_active))
        browser = known_browser(session, teacher.id, proof, now) if teacher else None
        stored = teacher.password_hash if teacher else None
        person = identity(teacher) if teacher else None
    attempt = Attempt.to_sign_in(login, password, address, browser)
    _refuse_while_pausing(database, attempt, now)
    with QUEUES.turn(known=browser is not None):
        _refuse_while_pausing(database, attempt, now)  # those who came before may have failed meanwhile
        if not passwords.matches(stored, password) or person is None:
            attempt.note_failure(database, now, person)
            raise _no_match()
    token = new_token()
    with access_changing(database) as session:
        still = select(Teacher.password_hash).where(Teacher.id == person.teacher_id, Teacher.is_active)
        if session.scalar(still.with_for_update()) != stored:
            raise _no_match()  # replaced, or the teacher switched off, while this one was hashed
        credentials.forget_failures(session, attempt.subject)
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
        note(session, LogKind.SIGNED_IN, person, now, teacher_id=person.teacher_id)
        return SignedIn(token, person, remember_browser(session, person.teacher_id, proof, now))


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
    database: Database, *, teacher: TeacherIdentity, old: str, new: str, now: datetime, proof: str = ""
) -> str:
    """Set a new password and end every session of this teacher. No browser is known any more but the one in
    which it was typed: its next proof."""
    attempt = Attempt.at_own_password(teacher.teacher_id, old)
    _refuse_own_while_pausing(database, attempt, now)
    with database.reading() as session:
        stored = session.scalar(select(Teacher.password_hash).where(Teacher.id == teacher.teacher_id))
    with QUEUES.turn(known=True):
        _refuse_own_while_pausing(database, attempt, now)  # as for a sign-in
        if not passwords.matches(stored, old):
            attempt.note_failure(database, now, teacher)
            raise TeacherProblem(Message(N_("The current password is not right. Nothing was changed.")))
    replacement = hashed(new)
    with access_changing(database) as session:
        credentials.forget_failures(session, attempt.subject)
        replace_password(session, session.get_one(Teacher, teacher.teacher_id), replacement, now)
        note(session, LogKind.PASSWORD_CHANGED, teacher, now, teacher_id=teacher.teacher_id)
        return remember_browser(session, teacher.teacher_id, proof, now)


def _refuse_own_while_pausing(database: Database, attempt: Attempt, now: datetime) -> None:
    try:
        _refuse_while_pausing(database, attempt, now)
    except SignInRefused as pause:
        raise TeacherProblem(pause.message) from pause


def sign_out_everywhere(database: Database, *, teacher: TeacherIdentity, now: datetime) -> None:
    """End every session of this teacher, and know none of the browsers any more."""
    with access_changing(database) as session:
        end_access(session, session.get_one(Teacher, teacher.teacher_id), now)
        note(session, LogKind.SIGNED_OUT_EVERYWHERE, teacher, now, teacher_id=teacher.teacher_id)


def replace_password(session: Session, teacher: Teacher, replacement: str, now: datetime) -> None:
    """Another password's hash; every sign-in with the old one ends."""
    teacher.password_hash = replacement
    end_access(session, teacher, now)


def end_access(session: Session, teacher: Teacher, now: datetime) -> None:
    """Sign this teacher out everywhere, and forget the browsers that were known."""
    session.execute(
        update(TeacherSession)
        .where(TeacherSession.teacher_id == teacher.id, TeacherSession.ended_at.is_(None))
        .values(ended_at=now)
    )
    forget_browsers(session, teacher.id)


def identity(teacher: Teacher) -> TeacherIdentity:
    """The frozen identity of a row."""
    return TeacherIdentity(teacher.id, teacher.department_id, teacher.login, teacher.name, teacher.role)


def tidy_login(login: str) -> str:
    """A sign-in name as it is stored: lower case, nothing around it, nothing invisible in it."""
    return "".join(character for character in login.strip().casefold() if character.isprintable())


def _no_match() -> SignInRefused:
    return SignInRefused(Message(N_("That name and password do not match. Check both and try again.")))


def _refuse_while_pausing(database: Database, attempt: Attempt, now: datetime) -> None:
    left = attempt.seconds_left(database, now)
    if left > 0:
        seconds = int(left) + 1
        raise SignInRefused(
            Message(
                N_("Several attempts failed just now. Wait %(seconds)s s, then try again."),
                {"seconds": str(seconds)},
            ),
            seconds,
        )
