"""The second step at sign-in, with the clock and the codes of pyotp, and the vectors of RFC 6238."""

from __future__ import annotations

import base64
from datetime import UTC, datetime, timedelta
from typing import Any

import pyotp
import pytest

from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.departments import HeadsOnly, NoSuchColleague
from app.practicals.people.log import log_page
from app.practicals.people.second_step import (
    SPARE_CODES,
    OwnSecondStep,
    TooLateForCode,
    _is_next,
    begin_second_step,
    confirm_second_step,
    finish_sign_in,
    new_spare_codes,
    second_step_of,
    take_off_colleague,
    take_off_own,
)
from app.practicals.people.sessions import CODE_MINUTES, teacher_for_token
from app.practicals.people.teachers import SignedIn, SignInRefused, TeacherProblem, sign_in
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.models import SecondStep, SpareCode
from tests.practicals.a_class import NOW, PASSWORD, a_teacher

STEP = timedelta(seconds=30)


class Phone:
    """A phone with an app that holds the secret."""

    def __init__(self, secret: str) -> None:
        self._codes = pyotp.TOTP(secret)

    def code(self, at: datetime) -> str:
        """What it shows at this moment."""
        return self._codes.at(at)


def _set_up(database: Database, teacher: TeacherIdentity) -> tuple[Phone, tuple[str, ...]]:
    begin_second_step(database, actor=teacher, password=PASSWORD, now=NOW)
    secret = second_step_of(database, actor=teacher).secret
    assert secret
    phone = Phone(secret)
    codes = confirm_second_step(database, actor=teacher, code=phone.code(NOW), now=NOW)
    return phone, codes


def _password(database: Database, now: datetime = NOW) -> SignedIn:
    return sign_in(database, login="mrs-okafor", password=PASSWORD, address="here", now=now)


def _finish(database: Database, code: str, now: datetime) -> SignedIn:
    return finish_sign_in(database, token=_password(database, now).token, code=code, now=now)


@pytest.mark.parametrize(
    ("seconds", "code"),
    # RFC 6238, appendix B, SHA-1: the last six digits of its eight.
    [(59, "287082"), (1111111109, "081804"), (1111111111, "050471"), (2000000000, "279037")],
)
def test_codes_are_those_of_rfc_6238(seconds: int, code: str) -> None:
    row = SecondStep(secret=base64.b32encode(b"12345678901234567890").decode(), last_step=0)
    moment = datetime.fromtimestamp(seconds, UTC)
    assert not _is_next(row, code[::-1], moment)
    assert _is_next(row, f" {code[:3]} {code[3:]} ", moment)
    assert not _is_next(row, code, moment), "not a second time"


def test_the_password_alone_opens_nothing_and_the_code_does(database: Database) -> None:
    teacher = a_teacher(database)
    phone, codes = _set_up(database, teacher)
    assert len(codes) == SPARE_CODES
    assert {tuple(map(len, code.split("-"))) for code in codes} == {(5, 5)}, "in halves, to be read"
    later = NOW + STEP
    signed = _password(database, later)
    assert signed.waits_for_code
    assert teacher_for_token(database, token=signed.token, now=later) is None
    with pytest.raises(SignInRefused, match="not right"):
        finish_sign_in(database, token=signed.token, code="000000", now=later)
    done = finish_sign_in(database, token=signed.token, code=phone.code(later), now=later)
    assert teacher_for_token(database, token=done.token, now=later) == teacher
    assert done.token != signed.token
    with pytest.raises(TooLateForCode, match="Type your name and password again"):
        finish_sign_in(database, token=signed.token, code=phone.code(later + STEP), now=later)


def test_a_code_is_taken_once_and_earlier_ones_no_more(database: Database) -> None:
    phone, _ = _set_up(database, a_teacher(database))
    with pytest.raises(SignInRefused, match="used already"):
        _finish(database, phone.code(NOW), NOW)  # the one that set it up
    later = NOW + 2 * STEP
    assert _finish(database, phone.code(later), later)
    for at in (later, later - STEP):
        with pytest.raises(SignInRefused, match="used already"):
            _finish(database, phone.code(at), later)


def test_a_phone_may_be_half_a_minute_off_and_no_more(database: Database) -> None:
    phone, _ = _set_up(database, a_teacher(database))
    at = NOW + timedelta(hours=1)
    assert _finish(database, phone.code(at - STEP), at)
    assert _finish(database, phone.code(at + STEP), at)
    for off in (-2, 2):
        later = at + timedelta(hours=1)
        with pytest.raises(SignInRefused):
            _finish(database, phone.code(later + off * STEP), later)


def test_wrong_codes_are_slowed_also_for_the_right_one(database: Database) -> None:
    phone, _ = _set_up(database, a_teacher(database))
    later = NOW + STEP
    token = _password(database, later).token
    for _ in range(5):
        with pytest.raises(SignInRefused, match="not right"):
            finish_sign_in(database, token=token, code="000000", now=later)
    with pytest.raises(SignInRefused, match="Wait 3 s"):
        finish_sign_in(database, token=token, code=phone.code(later), now=later)
    after = later + timedelta(seconds=3)
    assert finish_sign_in(database, token=token, code=phone.code(after), now=after)


def test_wrong_codes_are_slowed_while_it_is_set_up_too(database: Database) -> None:
    teacher = a_teacher(database)
    begin_second_step(database, actor=teacher, password=PASSWORD, now=NOW)
    secret = second_step_of(database, actor=teacher).secret
    assert secret
    for _ in range(5):
        with pytest.raises(TeacherProblem):
            confirm_second_step(database, actor=teacher, code="000000", now=NOW)
    right = Phone(secret).code(NOW)
    with pytest.raises(SignInRefused, match="Wait 3 s"):
        confirm_second_step(database, actor=teacher, code=right, now=NOW)
    assert _set_up(database, a_teacher(database, "other")), "nobody else waits for it"
    later = NOW + timedelta(seconds=3)
    assert confirm_second_step(database, actor=teacher, code=right, now=later)


def test_a_code_that_comes_too_late_is_told_to_begin_again(database: Database) -> None:
    phone, _ = _set_up(database, a_teacher(database))
    token, late = _password(database).token, NOW + timedelta(minutes=CODE_MINUTES)
    for wrong, now in ((token, late), ("", NOW), ("x", NOW)):
        with pytest.raises(TooLateForCode):
            finish_sign_in(database, token=wrong, code=phone.code(now + STEP), now=now)


def test_a_spare_code_lets_in_once_and_only_digests_are_kept(database: Database) -> None:
    teacher = a_teacher(database)
    head = a_teacher(database, "head", is_head=True)
    _, codes = _set_up(database, teacher)
    assert _finish(database, codes[3].lower().replace("-", " "), NOW)
    with pytest.raises(SignInRefused):
        _finish(database, codes[3], NOW)
    assert second_step_of(database, actor=teacher) == OwnSecondStep(True, None, SPARE_CODES - 1)
    begin_second_step(database, actor=teacher, password=PASSWORD, now=NOW)
    assert second_step_of(database, actor=teacher).on, "begun again it stays as it is"
    used = log_page(database, actor=head, kind=LogKind.SIGNED_IN).lines[0]
    assert (used.teacher, used.detail) == ("Mrs-Okafor", "spare code")
    others = new_spare_codes(database, actor=teacher, password=PASSWORD, now=NOW)
    with pytest.raises(SignInRefused):
        _finish(database, codes[4], NOW)
    assert _finish(database, others[0], NOW)
    with database.reading() as session:
        kept = {row.code_digest for row in session.query(SpareCode)}
    assert len(kept) == SPARE_CODES
    assert not kept & {*others, *(code.replace("-", "") for code in others)}


def test_it_is_asked_for_only_once_a_code_has_shown_that_the_phone_has_it(database: Database) -> None:
    teacher = a_teacher(database)
    with pytest.raises(TeacherProblem, match="current password is not right"):
        begin_second_step(database, actor=teacher, password="wrong", now=NOW)
    begin_second_step(database, actor=teacher, password=PASSWORD, now=NOW)
    given_up = second_step_of(database, actor=teacher).secret
    begin_second_step(database, actor=teacher, password=PASSWORD, now=NOW)
    assert second_step_of(database, actor=teacher).secret not in (None, given_up), "begun again: a new one"
    with pytest.raises(TeacherProblem) as refused:
        confirm_second_step(database, actor=teacher, code="000000", now=NOW)
    assert refused.value.field == "code"
    assert not _password(database).waits_for_code
    assert new_spare_codes(database, actor=teacher, password=PASSWORD, now=NOW) == ()


def test_it_is_taken_off_by_its_owner_or_the_head_and_by_nobody_else(database: Database) -> None:
    teacher, head = a_teacher(database), a_teacher(database, "head", is_head=True)
    stranger = a_teacher(database, "stranger", department="Chemistry", is_head=True)
    _set_up(database, teacher)
    about: dict[str, Any] = {"teacher_id": teacher.teacher_id, "now": NOW}
    for actor, problem in ((stranger, NoSuchColleague), (teacher, HeadsOnly)):
        with pytest.raises(problem):
            take_off_colleague(database, actor=actor, **about)
    with pytest.raises(TeacherProblem):
        take_off_own(database, actor=teacher, password="wrong", now=NOW)
    assert _password(database).waits_for_code
    waiting = _password(database).token
    assert take_off_colleague(database, actor=head, **about) == "Mrs-Okafor"
    with pytest.raises(TooLateForCode):
        finish_sign_in(database, token=waiting, code="000000", now=NOW)
    assert not _password(database).waits_for_code
    _set_up(database, teacher)
    take_off_own(database, actor=teacher, password=PASSWORD, now=NOW)
    assert not _password(database).waits_for_code
    with database.reading() as session:
        assert session.query(SpareCode).count() == 0
    kinds = [line.kind for line in log_page(database, actor=head).lines if "second" in line.kind]
    assert kinds == [LogKind.SECOND_STEP_OFF, LogKind.SECOND_STEP_ON] * 2
