"""Signing in gives a session that names the teacher."""

from __future__ import annotations

from contextlib import ExitStack
from threading import Thread
from typing import Any

import pytest

from app.practicals.people import passwords
from app.practicals.people.colleagues import set_password
from app.practicals.people.passwords import HashingQueue, Queues, TooManySigningIn, places_of
from app.practicals.people.sessions import teacher_for_token
from app.practicals.people.teachers import SignInRefused, sign_in
from app.records.engine import Database
from app.records.models import KnownBrowser, TeacherSession
from tests.practicals.a_class import NOW, PASSWORD, a_teacher
from tests.practicals.seen import count


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


def test_a_password_that_is_replaced_while_it_is_hashed_lets_nobody_in(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_teacher(database)
    hasher = passwords.HASHER

    class Meanwhile:
        hash = hasher.hash

        def verify(self, stored: str, password: str) -> bool:
            set_password(database, login="mrs-okafor", password="another three words", now=NOW)
            return hasher.verify(stored, password)

    monkeypatch.setattr(passwords, "HASHER", Meanwhile())
    with pytest.raises(SignInRefused):
        sign_in(database, login="mrs-okafor", password=PASSWORD, address="10.0.0.7", now=NOW)
    assert (count(database, TeacherSession), count(database, KnownBrowser)) == (0, 0)


def test_attempts_that_wait_together_are_not_all_looked_at(
    sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever sends many at once gets no more guesses than whoever sends them one after another."""
    a_teacher(sqlite_database)
    guess: dict[str, Any] = {"login": "mrs-okafor", "password": "wrong", "address": "10.0.0.7", "now": NOW}

    class Others(Queues):
        def turn(self, known: bool) -> Any:
            while others_wait:
                others_wait.pop()
                with pytest.raises(SignInRefused, match="do not match"):
                    sign_in(sqlite_database, **guess)
            return super().turn(known)

    others_wait = [1] * 5
    monkeypatch.setattr("app.practicals.people.teachers.QUEUES", Others())
    with pytest.raises(SignInRefused, match="Wait 3 s"):
        sign_in(sqlite_database, **guess)

    class Full(Queues):
        def turn(self, known: bool) -> Any:
            raise TooManySigningIn

    monkeypatch.setattr("app.practicals.people.teachers.QUEUES", Full())
    with pytest.raises(SignInRefused, match="Wait 3 s"):  # who has to wait takes no place from others
        sign_in(sqlite_database, **guess)


def test_whether_every_place_is_taken_is_said_without_waiting() -> None:
    queue, told = HashingQueue(places=1, at_once=1), list[bool]()
    assert not queue.is_full()
    with ExitStack() as leave:
        assert queue.enter(leave)
        asked = Thread(target=lambda: told.append(queue.is_full()), daemon=True)
        asked.start()
        asked.join(5)
    assert told == [True]
    assert not queue.is_full()


@pytest.mark.parametrize(
    ("threads", "anyone", "known"),
    [(2, 1, 0), (3, 1, 0), (4, 1, 1), (23, 8, 3), (24, 9, 3), (200, 9, 3)],
)
def test_whoever_waits_for_a_hash_leaves_half_of_the_threads(threads: int, anyone: int, known: int) -> None:
    assert places_of(threads) == (anyone, known)
    assert anyone + known <= threads / 2
