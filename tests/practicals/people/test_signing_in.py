"""Signing in gives a session that names the teacher."""

from __future__ import annotations

import pytest

from app.practicals.people.teachers import SignInRefused, sign_in, teacher_for_token
from app.records.engine import Database
from tests.practicals.a_class import NOW, PASSWORD, a_teacher


def test_the_right_password_gives_a_session_of_this_teacher(database: Database) -> None:
    teacher = a_teacher(database)
    signed = sign_in(database, login=teacher.login, password=PASSWORD, address="10.0.0.7", now=NOW)
    assert signed.teacher == teacher
    assert teacher_for_token(database, token=signed.token, now=NOW) == teacher


def test_a_wrong_password_is_refused(database: Database) -> None:
    teacher = a_teacher(database)
    with pytest.raises(SignInRefused):
        sign_in(database, login=teacher.login, password=PASSWORD + "s", address="10.0.0.7", now=NOW)


def test_signing_in_again_ends_the_session_that_this_browser_had(database: Database) -> None:
    a_teacher(database)
    before = sign_in(database, login="mrs-okafor", password=PASSWORD, address="10.0.0.7", now=NOW)
    elsewhere = sign_in(database, login="mrs-okafor", password=PASSWORD, address="10.0.0.7", now=NOW)
    after = sign_in(
        database,
        login="mrs-okafor",
        password=PASSWORD,
        address="10.0.0.7",
        now=NOW,
        earlier_token=before.token,
    )
    assert teacher_for_token(database, token=before.token, now=NOW) is None
    assert teacher_for_token(database, token=after.token, now=NOW) is not None
    assert teacher_for_token(database, token=elsewhere.token, now=NOW) is not None
