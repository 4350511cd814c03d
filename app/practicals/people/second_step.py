"""The optional second step at sign-in: a code from the teacher's phone (RFC 6238, by pyotp).

The records hold the secret as it is, because the server works out the same code. Whoever can read the records
could make the codes; the step keeps out who has learnt the password alone. Ten spare codes, kept as digests,
let in when the phone is lost, once each; a head can take the step off a colleague's account.
"""

from __future__ import annotations

import hmac
from dataclasses import dataclass
from datetime import datetime

import pyotp
from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from app.practicals.people import credentials
from app.practicals.people.access import access_changing
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import digest, is_possible, new_code, tidy_code
from app.practicals.people.departments import colleague_row, require_head
from app.practicals.people.log import add_to_log
from app.practicals.people.pauses import Attempt
from app.practicals.people.sessions import Browser, browser_in, end_session, identity
from app.practicals.people.teachers import (
    SignedIn,
    SignInRefused,
    TeacherProblem,
    check_own_password,
    complete_sign_in,
    refuse_while_pausing,
)
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.models import SecondStep, SpareCode, Teacher, TeacherSession
from app.words import N_, Message

STEP_SECONDS, CODE_DIGITS = 30, 6
"""RFC 6238, section 5.2 (30 s recommended); RFC 4226, section 5.3 (six digits at least)."""
STEPS_APART = 1
"""Of the phone's clock from the server's: one step of delay is recommended (RFC 6238, section 5.2)."""
SPARE_CODES, SPARE_LENGTH = 10, 10
"""23^10 possible ones, about 45 bits (own choice)."""
NOT_THE_CODE = Message(
    N_(
        "This code is not right, or was used already. Wait for the next one on the phone, or use a spare"
        " code."
    )
)
NOT_YET_THE_CODE = Message(
    N_(
        "This code is not right. Wait for the next one on the phone; if that one is refused too, see whether"
        " the phone's clock is right."
    )
)


class TooLateForCode(SignInRefused):
    """The password was typed too long ago, or the sign-in was ended meanwhile."""

    def __init__(self) -> None:
        super().__init__(
            Message(N_("That sign-in took too long or was ended. Type your name and password again."))
        )


@dataclass(frozen=True)
class OwnSecondStep:
    """A teacher's own: `secret` only while it is being set up, `spare_left` once it is on."""

    on: bool
    secret: str | None
    spare_left: int


def second_step_of(database: Database, *, actor: TeacherIdentity) -> OwnSecondStep:
    """How far it is set up."""
    left = select(func.count()).where(SpareCode.teacher_id == actor.teacher_id, SpareCode.used_at.is_(None))
    with database.reading() as session:
        row = session.get(SecondStep, actor.teacher_id)
        if row is None:
            return OwnSecondStep(on=False, secret=None, spare_left=0)
        on = row.on_since is not None
        return OwnSecondStep(on, None if on else row.secret, session.scalar(left) or 0)


def address_for_phone(secret: str, login: str) -> str:
    """What the QR holds, for any app that makes such codes."""
    return pyotp.TOTP(secret).provisioning_uri(name=login, issuer_name="Plumbfall")


def begin_second_step(database: Database, *, actor: TeacherIdentity, password: str, now: datetime) -> None:
    """Make the secret. It is not asked for before a first code has shown that the phone has it."""
    check_own_password(database, teacher=actor, password=password, now=now)
    with database.writing() as session:
        row = session.get(SecondStep, actor.teacher_id)
        if row is not None and row.on_since is not None:
            return
        if row is not None:
            session.delete(row)
            session.flush()
        session.add(SecondStep(teacher_id=actor.teacher_id, secret=pyotp.random_base32(), made_at=now))


def confirm_second_step(
    database: Database, *, actor: TeacherIdentity, code: str, now: datetime
) -> tuple[str, ...]:
    """Ask for codes from now on, if this one is right; the spare codes, which are told this once."""
    attempt = Attempt.at_code(actor.teacher_id)
    refuse_while_pausing(database, attempt, now)
    with access_changing(database) as session:
        row = _locked(session, actor.teacher_id)
        if row is not None and row.on_since is None and _is_next(row, code, now):
            row.on_since = now
            credentials.forget_failures(session, attempt.subject)
            add_to_log(session, LogKind.SECOND_STEP_ON, actor, now, teacher_id=actor.teacher_id)
            return _new_spare_codes(session, actor.teacher_id)
    attempt.note_failure(database, now, None)
    raise TeacherProblem("code", NOT_YET_THE_CODE)


def new_spare_codes(
    database: Database, *, actor: TeacherIdentity, password: str, now: datetime
) -> tuple[str, ...]:
    """Ten others; the earlier ones are worth nothing any more."""
    check_own_password(database, teacher=actor, password=password, now=now)
    with access_changing(database) as session:
        row = _locked(session, actor.teacher_id)
        return () if row is None or row.on_since is None else _new_spare_codes(session, actor.teacher_id)


def take_off_own(database: Database, *, actor: TeacherIdentity, password: str, now: datetime) -> None:
    """The password alone is asked for again."""
    check_own_password(database, teacher=actor, password=password, now=now)
    with access_changing(database) as session:
        _take_off(session, actor, actor.teacher_id, now)


def take_off_colleague(database: Database, *, actor: TeacherIdentity, teacher_id: int, now: datetime) -> str:
    """The head takes it off the account of somebody whose phone is lost; that person's name."""
    with access_changing(database) as session:
        require_head(session, actor)
        teacher = colleague_row(session, actor, teacher_id)
        _take_off(session, actor, teacher.id, now)
        return teacher.name


def finish_sign_in(database: Database, *, token: str, code: str, now: datetime, proof: str = "") -> SignedIn:
    """Begin the session that waits for this code, of the phone or a spare one. Wrong ones are slowed."""
    waiting = _waiting(database, token, now)
    if waiting is None:
        raise TooLateForCode()
    person, where = waiting
    attempt = Attempt.at_code(person.teacher_id)
    refuse_while_pausing(database, attempt, now)
    with access_changing(database) as session:
        row = _locked(session, person.teacher_id)
        if row is None or row.on_since is None:
            raise TooLateForCode()  # taken off meanwhile
        by_phone = _is_next(row, code, now)
        if by_phone or _is_spare(session, person.teacher_id, code, now):
            credentials.forget_failures(session, attempt.subject)
            end_session(session, token, now)
            return complete_sign_in(session, person, now, where, proof, "" if by_phone else "spare code")
    attempt.note_failure(database, now, person)
    raise SignInRefused(NOT_THE_CODE)


def _waiting(database: Database, token: str, now: datetime) -> tuple[TeacherIdentity, Browser] | None:
    if not is_possible(token):
        return None
    wanted = (
        select(Teacher, TeacherSession)
        .join(TeacherSession, TeacherSession.teacher_id == Teacher.id)
        .where(
            TeacherSession.token_digest == digest(token),
            TeacherSession.waits_for_code,
            TeacherSession.ended_at.is_(None),
            TeacherSession.expires_at > now,
            Teacher.is_active,
        )
    )
    with database.reading() as session:
        found = session.execute(wanted).first()
        return found and (identity(found[0]), browser_in(found[1]))


def _locked(session: Session, teacher_id: int) -> SecondStep | None:
    """Whoever types a code takes a turn here, so that none is taken twice."""
    wanted = select(SecondStep).where(SecondStep.teacher_id == teacher_id).with_for_update()
    return session.scalar(wanted, execution_options={"populate_existing": True})


def _is_next(row: SecondStep, typed: str, now: datetime) -> bool:
    """Whether this is the code of a step about now that is later than every step taken; it is taken then."""
    code = tidy_code(typed)
    if len(code) != CODE_DIGITS or not code.isascii() or not code.isdigit():
        return False
    phone = pyotp.TOTP(row.secret, digits=CODE_DIGITS, interval=STEP_SECONDS)
    present = int(now.timestamp()) // STEP_SECONDS
    for step in range(present - STEPS_APART, present + STEPS_APART + 1):
        if step > row.last_step and hmac.compare_digest(phone.generate_otp(step), code):
            row.last_step = step
            return True
    return False


def _is_spare(session: Session, teacher_id: int, typed: str, now: datetime) -> bool:
    wanted = select(SpareCode).where(
        SpareCode.teacher_id == teacher_id,
        SpareCode.code_digest == digest(tidy_code(typed)),
        SpareCode.used_at.is_(None),
    )
    spare = session.scalar(wanted)
    if spare is not None:
        spare.used_at = now
    return spare is not None


def _new_spare_codes(session: Session, teacher_id: int) -> tuple[str, ...]:
    session.execute(delete(SpareCode).where(SpareCode.teacher_id == teacher_id))
    made = tuple(new_code(SPARE_LENGTH) for _ in range(SPARE_CODES))
    session.add_all(SpareCode(teacher_id=teacher_id, code_digest=digest(code)) for code in made)
    half = SPARE_LENGTH // 2
    return tuple(f"{code[:half]}-{code[half:]}" for code in made)


def _take_off(session: Session, actor: TeacherIdentity, teacher_id: int, now: datetime) -> None:
    row = _locked(session, teacher_id)
    if row is None:
        return
    if row.on_since is not None:
        add_to_log(session, LogKind.SECOND_STEP_OFF, actor, now, teacher_id=teacher_id)
    session.delete(row)
    session.execute(delete(SpareCode).where(SpareCode.teacher_id == teacher_id))
