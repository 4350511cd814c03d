"""Looking after the installation: what goes with time, and who may sign in."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.practicals.plan import practicals_of_department
from app.practicals.staff import NoSuchTeacher, set_active, set_password
from app.practicals.teachers import SignInRefused, TeacherProblem, sign_in, teacher_for_token
from app.practicals.upkeep import Tidied, tidy
from app.records.engine import Database
from tests.practicals.a_class import NOW, PASSWORD, a_collecting_class, a_teacher

HERE = "198.51.100.7"
NEW = "another three words"


def test_what_is_past_its_time_goes_and_the_rest_stays(database: Database) -> None:
    one = a_collecting_class(database, delete_after=date(2031, 3, 20))
    signed = sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)
    with pytest.raises(SignInRefused):
        sign_in(database, login="mrs-okafor", password="wrong", address=HERE, now=NOW)
    assert tidy(database, now=NOW) == Tidied(practicals=0, sessions=0, attempts=0)
    assert teacher_for_token(database, token=signed.token, now=NOW) is not None
    assert tidy(database, now=NOW + timedelta(days=91)) == Tidied(practicals=1, sessions=1, attempts=1)
    assert practicals_of_department(database, actor=one.teacher) == []


def test_a_forgotten_password_is_replaced_and_every_session_ends(database: Database) -> None:
    a_teacher(database)
    signed = sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)
    with pytest.raises(TeacherProblem):
        set_password(database, login="mrs-okafor", password="short", now=NOW)
    assert teacher_for_token(database, token=signed.token, now=NOW)
    assert set_password(database, login=" Mrs-Okafor ", password=NEW, now=NOW) == "Mrs-Okafor"
    assert teacher_for_token(database, token=signed.token, now=NOW) is None
    assert sign_in(database, login="mrs-okafor", password=NEW, address=HERE, now=NOW)


def test_who_has_left_cannot_sign_in_and_may_come_back(database: Database) -> None:
    a_teacher(database)
    signed = sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)
    set_active(database, login="mrs-okafor", active=False, now=NOW)
    assert teacher_for_token(database, token=signed.token, now=NOW) is None
    with pytest.raises(SignInRefused, match="belong together"):
        sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)
    set_active(database, login="mrs-okafor", active=True, now=NOW)
    assert sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)


def test_a_name_that_nobody_has_is_said_to_be(database: Database) -> None:
    with pytest.raises(NoSuchTeacher, match="nobody"):
        set_password(database, login="nobody", password=NEW, now=NOW)
