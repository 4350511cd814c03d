"""Signing in: hashed with Argon2id, ended on the server, and slow for a guesser only."""

from __future__ import annotations

import threading
from contextlib import suppress
from datetime import timedelta
from typing import Any

import pytest
from argon2 import extract_parameters
from argon2.low_level import Type

from app.practicals.people import credentials, departments, passwords, pauses
from app.practicals.people.departments import DepartmentThere, NoSuchDepartment
from app.practicals.people.sessions import SESSION_HOURS, sign_out, teacher_for_token
from app.practicals.people.teachers import (
    OWN_PASSWORD,
    SignInRefused,
    TeacherProblem,
    add_teacher,
    change_password,
    sign_in,
)
from app.records.engine import Database
from app.records.errors import Conflict
from app.records.models import Department, FailedAttempt, Teacher, TeacherSession
from tests.practicals.a_class import NOW, PASSWORD, a_teacher

HERE = "198.51.100.7"


def attempt(database: Database, password: str, *, at=NOW, address: str = HERE, proof: str = ""):
    return sign_in(
        database,
        login="mrs-okafor",
        password=password,
        address=address,
        now=at,
        proof=proof,
    )


@pytest.mark.usefixtures("hashing_in_earnest")
def test_a_password_is_kept_only_as_an_argon2id_hash_of_the_recommended_cost(database: Database) -> None:
    a_teacher(database)
    with database.reading() as session:
        stored = session.query(Teacher).one().password_hash
    assert PASSWORD not in stored
    cost = extract_parameters(stored)
    # OWASP Password Storage Cheat Sheet: Argon2id with at least 19 MiB, 2 iterations, 1 lane
    assert cost.type is Type.ID
    assert (cost.memory_cost >= 19 * 1024, cost.time_cost >= 2, cost.parallelism >= 1) == (True, True, True)


def test_every_sign_in_has_its_own_token_and_only_digests_are_kept(database: Database) -> None:
    teacher = a_teacher(database)
    first, second = attempt(database, PASSWORD), attempt(database, PASSWORD)
    assert first.token != second.token
    assert teacher_for_token(database, token=first.token, now=NOW) == teacher
    with database.reading() as session:
        kept = {row.token_digest for row in session.query(TeacherSession)}
    assert kept == {credentials.digest(first.token), credentials.digest(second.token)}


def test_signing_out_ends_the_session_on_the_server_and_only_that_one(database: Database) -> None:
    a_teacher(database)
    first, second = attempt(database, PASSWORD), attempt(database, PASSWORD)
    sign_out(database, token=first.token, now=NOW)
    assert teacher_for_token(database, token=first.token, now=NOW) is None
    assert teacher_for_token(database, token=second.token, now=NOW) is not None


def test_a_session_ends_by_itself(database: Database) -> None:
    a_teacher(database)
    signed = attempt(database, PASSWORD)
    last = NOW + timedelta(hours=SESSION_HOURS) - timedelta(seconds=1)
    assert teacher_for_token(database, token=signed.token, now=last) is not None
    assert teacher_for_token(database, token=signed.token, now=last + timedelta(seconds=1)) is None


@pytest.mark.parametrize("password", ["", "wrong", PASSWORD + " ", PASSWORD.upper(), "x" * 100_000])
def test_a_wrong_password_is_refused_in_the_same_words_as_an_unknown_name(database, password) -> None:
    a_teacher(database)
    with pytest.raises(SignInRefused) as wrong:
        attempt(database, password)
    with pytest.raises(SignInRefused) as unknown:
        sign_in(database, login="nobody", password=password, address=HERE, now=NOW)
    assert str(wrong.value) == str(unknown.value)


def test_failures_slow_the_guesser_down_more_and_more_and_never_for_long(database: Database) -> None:
    a_teacher(database)
    for _ in range(pauses.FREE_FAILURES):
        with pytest.raises(SignInRefused, match="do not match"):
            attempt(database, "wrong")
    with pytest.raises(SignInRefused, match="Wait 3 s") as pause:
        attempt(database, PASSWORD, at=NOW)
    assert 0 < pause.value.retry_after_seconds <= pauses.LONGEST_PAUSE_SECONDS
    later = NOW + timedelta(seconds=3)
    with pytest.raises(SignInRefused, match="do not match"):
        attempt(database, "wrong", at=later)
    with pytest.raises(SignInRefused, match="Wait 5 s"):
        attempt(database, PASSWORD, at=later)
    assert attempt(database, PASSWORD, at=later + timedelta(seconds=pauses.LONGEST_PAUSE_SECONDS))
    with database.reading() as session:
        assert session.query(FailedAttempt).count() == 0, "a success wipes the slate"


def test_others_are_not_slowed_down_by_a_guesser(database: Database) -> None:
    a_teacher(database)
    a_teacher(database, "mr-lind")
    proof = attempt(database, PASSWORD).proof
    for _ in range(pauses.FREE_FAILURES + 1):
        with pytest.raises(SignInRefused):
            attempt(database, "wrong")
    assert sign_in(database, login="mr-lind", password=PASSWORD, address=HERE, now=NOW)
    assert attempt(database, PASSWORD, address="203.0.113.9"), "from home"
    assert attempt(database, PASSWORD, proof=proof), "in a browser that has signed in before"


def test_no_address_is_kept_in_clear(database: Database) -> None:
    a_teacher(database)
    with pytest.raises(SignInRefused):
        attempt(database, "wrong")
    with database.reading() as session:
        kept = session.query(FailedAttempt).one()
    assert HERE not in kept.subject_digest
    assert len(kept.subject_digest) == 64


def test_a_changed_password_ends_every_session(database: Database) -> None:
    teacher = a_teacher(database)
    signed = attempt(database, PASSWORD)
    with pytest.raises(TeacherProblem, match="current password"):
        change_password(database, teacher=teacher, old="wrong", new="another three words", now=NOW)
    change_password(database, teacher=teacher, old=PASSWORD, new="another three words", now=NOW)
    assert teacher_for_token(database, token=signed.token, now=NOW) is None
    assert attempt(database, "another three words")


def test_wrong_own_passwords_earn_a_pause_in_which_the_right_one_waits_too(database: Database) -> None:
    teacher = a_teacher(database)
    change: dict[str, Any] = {"teacher": teacher, "new": "another three words", "now": NOW}
    for _ in range(pauses.FREE_FAILURES):
        with pytest.raises(TeacherProblem, match="current password"):
            change_password(database, old="wrong", **change)
    with pytest.raises(TeacherProblem, match="Several attempts failed") as refused:
        change_password(database, old=PASSWORD, **change)
    assert refused.value.field == OWN_PASSWORD


@pytest.mark.parametrize(
    "wrong",
    [
        {"login": ""},
        {"login": "two words"},
        {"login": "x" * 81},
        {"name": " "},
        {"name": "x" * 121},
        {"department": ""},
        {"department": "x" * 121},
        {"password": "short"},
        {"password": "x" * 201},
    ],
)
def test_a_teacher_who_cannot_be_is_refused(sqlite_database: Database, wrong: dict[str, str]) -> None:
    right = {"login": "new", "name": "New", "department": "Physics", "password": PASSWORD}
    with pytest.raises(TeacherProblem):
        add_teacher(sqlite_database, now=NOW, new_department=True, **(right | wrong))  # type: ignore[arg-type]
    with sqlite_database.reading() as session:
        assert session.query(Teacher).count() == 0
    longest = {"login": "x" * 80, "name": "x" * 120, "department": "x" * 120, "password": PASSWORD}
    assert add_teacher(sqlite_database, now=NOW, new_department=True, **longest).login == "x" * 80  # type: ignore[arg-type]


def test_the_first_teacher_of_a_new_department_is_its_head_and_the_next_is_not(database: Database) -> None:
    new: dict[str, Any] = {"name": "New", "password": PASSWORD, "now": NOW}
    first = add_teacher(database, login="a", department=" Physics ", new_department=True, **new)
    second = add_teacher(database, login="b", department="Physics", **new)
    assert (first.is_head, second.is_head) == (True, False)
    assert first.department_id == second.department_id


def test_a_department_that_is_not_there_is_not_founded_by_a_slip(database: Database) -> None:
    new: dict[str, Any] = {"name": "New", "password": PASSWORD, "now": NOW}
    add_teacher(database, login="a", department="Physics", new_department=True, **new)
    with pytest.raises(NoSuchDepartment, match="there are: Physics"):
        add_teacher(database, login="b", department="Phsyics", **new)
    with pytest.raises(DepartmentThere, match=r"a department “Physics”\. Name it with --dep"):
        add_teacher(database, login="b", department="physics", new_department=True, **new)
    with database.reading() as session:
        assert session.query(Department).count() == session.query(Teacher).count() == 1


def test_of_two_who_found_the_same_department_at_once_one_is_told(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    together, inside, refused = threading.Barrier(2), threading.Barrier(2), []
    names = departments._names

    def after_both_have_looked(session):
        found = names(session)
        with suppress(threading.BrokenBarrierError):
            inside.wait(timeout=0.5)  # taking turns, nobody else ever comes
        return found

    monkeypatch.setattr(departments, "_names", after_both_have_looked)

    def found_it(login: str) -> None:
        together.wait()
        try:
            add_teacher(
                database,
                login=login,
                name=login,
                department="Physics",
                new_department=True,
                password=PASSWORD,
                now=NOW,
            )
        except Conflict as problem:
            refused.append(str(problem))

    threads = [threading.Thread(target=found_it, args=(login,)) for login in ("a", "b")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(refused) == 1
    assert "already a department" in refused[0]
    with database.reading() as session:
        assert session.query(Department).count() == session.query(Teacher).count() == 1


def test_a_name_is_taken_whatever_its_case(database: Database) -> None:
    a_teacher(database)
    with pytest.raises(TeacherProblem, match="already a teacher"):
        a_teacher(database, " Mrs-OKAFOR ")
    assert sign_in(database, login=" MRS-Okafor ", password=PASSWORD, address=HERE, now=NOW)


@pytest.mark.parametrize("login", ["mrs\x00okafor", "\ud83d", "x" * 10_000])
def test_a_name_that_nobody_can_have_is_refused_like_any_other(database: Database, login: str) -> None:
    a_teacher(database)
    with pytest.raises(SignInRefused, match="do not match"):
        sign_in(database, login=login, password=PASSWORD, address=HERE, now=NOW)


def test_nothing_is_hashed_inside_a_transaction(sqlite_database: Database, monkeypatch) -> None:
    """While one thread hashes, another can write at once: the hash holds no lock."""
    a_teacher(sqlite_database)
    free: list[bool] = []

    class Watching:
        def verify(self, stored: str, password: str) -> bool:
            free.append(sqlite_database._turn.acquire(blocking=False))
            sqlite_database._turn.release()
            with sqlite_database.writing() as session:
                session.add(FailedAttempt(subject_digest="during", at=NOW))
            return True

        def hash(self, password: str) -> str:
            return self.verify("", password) and "hash"  # type: ignore[return-value]

    monkeypatch.setattr(passwords, "HASHER", Watching())
    attempt(sqlite_database, PASSWORD)
    a_teacher(sqlite_database, "another")
    assert free == [True, True]
