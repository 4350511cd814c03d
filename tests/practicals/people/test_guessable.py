"""Passwords that somebody would soon try are refused, in words."""

from __future__ import annotations

import pytest

from app.practicals.people.passwords import ABOUT_PERSON, COMMON, why_guessable
from app.practicals.people.teachers import TeacherProblem, add_teacher, change_password
from app.records.engine import Database
from tests.practicals.a_class import NOW, PASSWORD, a_teacher

ABOUT = ("r.osei", "Rufaro Osei", "Physics, Tarnbeck School")


@pytest.mark.parametrize("password", ["1234567890", "qwertyuiop", "password123", "aaaaaaaaaaaa", "20310306"])
def test_what_anybody_would_try_is_refused(password: str) -> None:
    assert why_guessable(password, ABOUT) == COMMON


@pytest.mark.parametrize("password", ["r.osei2031", "RufaroOsei", "Tarnbeck School", "osei physics"])
def test_what_is_known_of_the_person_is_refused_and_said(password: str) -> None:
    assert why_guessable(password, ABOUT) == ABOUT_PERSON


@pytest.mark.parametrize("password", [PASSWORD, "lantern gravel otter", "vqx7 bramble " * 15])
def test_words_that_have_nothing_to_do_with_each_other_are_good(password: str) -> None:
    assert why_guessable(password, ABOUT) is None


def test_a_name_of_two_letters_stands_in_many_passwords_and_spoils_none() -> None:
    signs = "?;!=%*&+#:~$"
    assert why_guessable(f"{signs}li", ("Li Lim",)) is None
    assert why_guessable(f"{signs}lim", ("Li Lim",)) == ABOUT_PERSON


def test_a_guessable_password_is_refused_wherever_one_is_chosen(sqlite_database: Database) -> None:
    teacher = a_teacher(sqlite_database)
    given = {"login": "new", "name": "New", "department": "Physics", "password": "1234567890"}
    with pytest.raises(TeacherProblem, match="somebody would try") as refused:
        add_teacher(sqlite_database, now=NOW, **given)  # type: ignore[arg-type]
    assert refused.value.field == "password"
    with pytest.raises(TeacherProblem, match="made of a name"):
        change_password(sqlite_database, teacher=teacher, old=PASSWORD, new="mrs-okafor 7", now=NOW)
