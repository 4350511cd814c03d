"""A teacher's account: adding one, signing in, the own password.

Passwords are hashed with Argon2id before or after the transaction, never inside it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.people import credentials, passwords
from app.practicals.people.access import access_changing
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import is_possible, known_browser, remember_browser
from app.practicals.people.departments import department_named, found_department
from app.practicals.people.log import add_to_log
from app.practicals.people.passwords import LONGEST_PASSWORD, QUEUES, why_guessable
from app.practicals.people.pauses import Attempt
from app.practicals.people.sessions import (
    NO_BROWSER,
    Browser,
    asks_for_code,
    begin_session,
    end_access,
    end_session,
    identity,
)
from app.records.choices import LogKind, Role
from app.records.constraints import LOGIN_TAKEN
from app.records.engine import Database
from app.records.errors import FieldProblem, Problem
from app.records.models import Teacher
from app.records.models.people import LONGEST_LOGIN, LONGEST_NAME
from app.words import N_, Message

SHORTEST_PASSWORD = 10
OWN_PASSWORD, NEW_PASSWORD = "own", "password"  # nosec B105
"""The fields of a problem with the password that one has, and with the one that one wants."""


class TeacherProblem(FieldProblem):
    """A teacher cannot be added or changed as asked."""


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
    waits_for_code: bool = False


@dataclass(frozen=True)
class NewTeacher:
    """Who comes in, checked: sign-in name and name as they are stored, and the password's hash."""

    login: str
    name: str
    password_hash: str


def new_teacher(*, login: str, name: str, department: str, password: str) -> NewTeacher:
    """Check what was typed, and hash the password. Before the transaction."""
    login, name = tidy_login(login), name.strip()
    if not login or len(login) > LONGEST_LOGIN or any(c.isspace() for c in login):
        raise TeacherProblem("login", N_("A sign-in name has 1 to 80 characters and no spaces."))
    if not 0 < len(name) <= LONGEST_NAME or not 0 < len(department) <= LONGEST_NAME:
        raise TeacherProblem(
            "name", N_("Give the teacher's name and the department, each up to 120 characters.")
        )
    return NewTeacher(login, name, hash_new_password(password, (login, name, department)))


def add_account(
    session: Session, department_id: int, teacher: NewTeacher, role: Role, now: datetime
) -> Teacher:
    """The new account's row; raises `TeacherProblem` where the sign-in name is taken."""
    if session.scalar(select(Teacher.id).where(Teacher.login == teacher.login)) is not None:
        raise TeacherProblem("login", LOGIN_TAKEN)
    row = Teacher(
        department_id=department_id,
        login=teacher.login,
        name=teacher.name,
        password_hash=teacher.password_hash,
        role=role,
        is_active=True,
        created_at=now,
    )
    session.add(row)
    session.flush()
    return row


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
) -> TeacherIdentity:
    """Add a teacher to a department, for whoever looks after the installation; with `new_department` found
    it, and its first teacher is its head."""
    department = department.strip()
    checked = new_teacher(login=login, name=name, department=department, password=password)
    with database.writing() as session:
        owner = (
            found_department(session, department, now)
            if new_department
            else department_named(session, department)
        )
        row = add_account(session, owner.id, checked, Role.HEAD if new_department else role, now)
        add_to_log(
            session,
            LogKind.TEACHER_ADDED,
            None,
            now,
            department_id=owner.id,
            teacher_id=row.id,
            detail=row.role,
        )
        return identity(row)


def hash_new_password(password: str, about: Iterable[str]) -> str:
    """The Argon2id hash of a password that is long enough, and that nobody guesses who knows the texts
    `about` its owner."""
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise TeacherProblem(
            NEW_PASSWORD,
            N_("A password has %(least)s to %(most)s characters; three unrelated words do well."),
            least=SHORTEST_PASSWORD,
            most=LONGEST_PASSWORD,
        )
    if (problem := why_guessable(password, about)) is not None:
        raise TeacherProblem(NEW_PASSWORD, problem)
    return passwords.hash_of(password)


def known_about(session: Session, teacher_id: int) -> tuple[str, str, str]:
    """What others know of a teacher, and would try in a password."""
    row = session.get_one(Teacher, teacher_id)
    return row.login, row.name, row.department.name


def sign_in(
    database: Database,
    *,
    login: str,
    password: str,
    address: str,
    now: datetime,
    earlier_token: str = "",
    proof: str = "",
    where: Browser = NO_BROWSER,
) -> SignedIn:
    """Start a session and end the one that this browser had. With a second step the session waits for its
    code (`second_step.finish_sign_in`).

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
    refuse_while_pausing(database, attempt, now)
    with QUEUES.turn(known=browser is not None):
        refuse_while_pausing(database, attempt, now)  # those who came before may have failed meanwhile
        if not passwords.matches(stored, password) or person is None:
            attempt.note_failure(database, now, person)
            raise _no_match()
    with access_changing(database) as session:
        still = select(Teacher.password_hash).where(Teacher.id == person.teacher_id, Teacher.is_active)
        if session.scalar(still.with_for_update()) != stored:
            raise _no_match()  # replaced, or the teacher switched off, while this one was hashed
        credentials.forget_failures(session, attempt.subject)
        end_session(session, earlier_token, now)
        if asks_for_code(session, person.teacher_id):
            token = begin_session(session, person.teacher_id, now, where, waits_for_code=True)
            return SignedIn(token, person, proof, waits_for_code=True)
        return complete_sign_in(session, person, now, where, proof)


def complete_sign_in(
    session: Session, person: TeacherIdentity, now: datetime, where: Browser, proof: str, detail: str = ""
) -> SignedIn:
    """The session of somebody who has proved everything that is asked for."""
    token = begin_session(session, person.teacher_id, now, where)
    add_to_log(session, LogKind.SIGNED_IN, person, now, teacher_id=person.teacher_id, detail=detail)
    return SignedIn(token, person, remember_browser(session, person.teacher_id, proof, now))


def change_password(
    database: Database, *, teacher: TeacherIdentity, old: str, new: str, now: datetime, proof: str = ""
) -> str:
    """Set a new password and end every session of this teacher. No browser is known any more but the one in
    which it was typed: its next proof."""
    check_own_password(database, teacher=teacher, password=old, now=now)
    with database.reading() as session:
        about = known_about(session, teacher.teacher_id)
    replacement = hash_new_password(new, about)
    with access_changing(database) as session:
        replace_password(session, session.get_one(Teacher, teacher.teacher_id), replacement, now)
        add_to_log(session, LogKind.PASSWORD_CHANGED, teacher, now, teacher_id=teacher.teacher_id)
        return remember_browser(session, teacher.teacher_id, proof, now)


def check_own_password(database: Database, *, teacher: TeacherIdentity, password: str, now: datetime) -> None:
    """Raise `TeacherProblem` unless this is the password of who is signed in; wrong ones are slowed."""
    attempt = Attempt.at_own_password(teacher.teacher_id, password)
    _refuse_own_while_pausing(database, attempt, now)
    with database.reading() as session:
        stored = session.scalar(select(Teacher.password_hash).where(Teacher.id == teacher.teacher_id))
    with QUEUES.turn(known=True):
        _refuse_own_while_pausing(database, attempt, now)  # as for a sign-in
        if not passwords.matches(stored, password):
            attempt.note_failure(database, now, teacher)
            raise TeacherProblem(OWN_PASSWORD, N_("The current password is not right. Nothing was changed."))
    with database.writing() as session:
        credentials.forget_failures(session, attempt.subject)


def _refuse_own_while_pausing(database: Database, attempt: Attempt, now: datetime) -> None:
    try:
        refuse_while_pausing(database, attempt, now)
    except SignInRefused as pause:
        raise TeacherProblem(OWN_PASSWORD, pause.message) from pause


def replace_password(session: Session, teacher: Teacher, replacement: str, now: datetime) -> None:
    """Another password's hash; every sign-in with the old one ends."""
    teacher.password_hash = replacement
    end_access(session, teacher, now)


def tidy_login(login: str) -> str:
    """A sign-in name as it is stored: lower case, nothing around it, nothing invisible in it."""
    return "".join(character for character in login.strip().casefold() if character.isprintable())


def _no_match() -> SignInRefused:
    return SignInRefused(Message(N_("That name and password do not match. Check both and try again.")))


def refuse_while_pausing(database: Database, attempt: Attempt, now: datetime) -> None:
    """Raise `SignInRefused` as long as the pause still is that earlier attempts earned."""
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
