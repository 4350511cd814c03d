"""Failed attempts at the edge of what is free, of what is slowed, and of how long they are remembered."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from app.practicals.benches.joining import BenchTaken, WrongCode, find_practical_by_code, join_bench
from app.practicals.people import credentials, pauses
from app.practicals.people.sessions import sign_out, teacher_for_token
from app.practicals.people.teachers import SignInRefused, TeacherProblem, add_teacher, sign_in
from app.practicals.upkeep.tidying import tidy
from app.records.engine import Database
from app.records.models import Bench, FailedAttempt
from tests.practicals.a_class import NOW, PASSWORD, AClass, a_collecting_class, a_teacher

SECOND, MINUTE, HOUR = timedelta(seconds=1), timedelta(minutes=1), timedelta(hours=1)


def wrong_password(database: Database, at: datetime = NOW) -> SignInRefused:
    with pytest.raises(SignInRefused) as refused:
        sign_in(database, login="mrs-okafor", password="wrong", address="198.51.100.7", now=at)
    return refused.value


def test_a_pause_doubles_from_the_fifth_failure_on_up_to_half_a_minute(sqlite_database: Database) -> None:
    a_teacher(sqlite_database)
    for _ in range(5):
        assert "do not match" in str(wrong_password(sqlite_database))
    at, pauses = NOW, []
    for _ in range(6):
        paused = wrong_password(sqlite_database, at)
        pauses.append(paused.retry_after_seconds - 1)
        assert f"Wait {paused.retry_after_seconds} s" in str(paused)
        at += pauses[-1] * SECOND
        assert "do not match" in str(wrong_password(sqlite_database, at)), "the pause is over"
    assert pauses == [2, 4, 8, 16, 30, 30]


def test_failures_are_forgotten_after_an_hour(sqlite_database: Database) -> None:
    a_teacher(sqlite_database)
    for _ in range(5):
        wrong_password(sqlite_database)
    wrong_password(sqlite_database, NOW + HOUR)
    tidy(sqlite_database, now=NOW + HOUR, today=NOW.date())
    with sqlite_database.reading() as session:
        assert session.query(FailedAttempt).count() == 6
    wrong_password(sqlite_database, NOW + HOUR + SECOND)
    with sqlite_database.reading() as session:
        assert session.query(FailedAttempt).count() == 2, "the first five are gone"


def test_a_failure_by_a_clock_that_is_ahead_counts_and_one_of_the_future_does_not(
    sqlite_database: Database,
) -> None:
    ahead = NOW + credentials.CLOCKS_APART
    with sqlite_database.writing() as session:
        for at in (ahead, ahead + SECOND):
            credentials.note_failure(session, "x", at)
            session.flush()
        assert credentials.failures(session, "x", NOW) == (1, ahead)
    assert [pauses.Failed(5, at).seconds_left(NOW) for at in (ahead, ahead + SECOND)] == [2, 0]


def test_of_a_flood_no_more_than_two_hundred_failures_are_kept(sqlite_database: Database) -> None:
    subject = credentials.attempt_subject("sign-in", "mrs-okafor", "198.51.100.7")
    with sqlite_database.writing() as session:
        for _ in range(200):
            credentials.note_failure(session, subject, NOW)
            session.flush()
        assert credentials.failures(session, subject, NOW) == (200, NOW)
        credentials.note_failure(session, subject, NOW)
        session.flush()
        assert credentials.failures(session, subject, NOW)[0] == 200


def test_one_password_from_many_addresses_is_slowed_after_twenty_and_not_after_an_hour(
    sqlite_database: Database,
) -> None:
    def refusal(number: int, at: datetime = NOW, password: str = "the same one") -> str:
        with pytest.raises(SignInRefused) as refused:
            sign_in(
                sqlite_database, login=f"n{number}", password=password, address=f"10.0.0.{number}", now=at
            )
        return str(refused.value)

    assert all("do not match" in refusal(number) for number in range(20))
    assert "Wait 3 s" in refusal(20)
    assert "do not match" in refusal(20, password="another")
    for number in range(21, 23):
        assert "do not match" in refusal(number, NOW + HOUR), "forgotten"


def test_of_wrong_passwords_the_latest_ten_thousand_counts_are_kept() -> None:
    wrong = pauses.WrongPasswords()
    for number in range(4_999):
        wrong.note("here", f"password {number}", NOW)
    for _ in range(5):
        wrong.note("here", "password 0", NOW)
    assert wrong.seconds_left("here", "password 0", NOW) == 4
    for number in range(5_000, 9_999):
        wrong.note("here", f"password {number}", NOW)
    assert wrong.seconds_left("here", "password 0", NOW) == 4
    wrong.note("here", "one more", NOW)
    assert wrong.seconds_left("here", "password 0", NOW) == 0


def test_a_session_lasts_twelve_hours(sqlite_database: Database) -> None:
    a_teacher(sqlite_database)
    token = sign_in(
        sqlite_database, login="mrs-okafor", password=PASSWORD, address="198.51.100.7", now=NOW
    ).token
    assert teacher_for_token(sqlite_database, token=token, now=NOW + 12 * HOUR - SECOND) is not None
    assert teacher_for_token(sqlite_database, token=token, now=NOW + 12 * HOUR) is None


@pytest.mark.parametrize(("days", "known"), [(89, True), (90, False)])
def test_a_browser_is_known_for_ninety_days(sqlite_database: Database, days: int, known: bool) -> None:
    a_teacher(sqlite_database)
    where: dict[str, Any] = {"login": "mrs-okafor", "address": "198.51.100.7"}
    signed = sign_in(sqlite_database, password=PASSWORD, now=NOW, **where)
    sign_out(sqlite_database, token=signed.token, now=NOW)
    later = NOW + timedelta(days=days)
    for _ in range(5):
        wrong_password(sqlite_database, later)
    again: dict[str, Any] = {"password": PASSWORD, "now": later, "proof": signed.proof}
    if known:
        assert sign_in(sqlite_database, **again, **where).teacher.login == "mrs-okafor"
        return
    with pytest.raises(SignInRefused, match="Wait 3 s"):
        sign_in(sqlite_database, **again, **where)


LONG = "vqx7 bramble otter kiln " * 9
"""A password that nobody guesses, from its first ten characters on."""


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"password": LONG[:9]}, "password"),
        ({"password": LONG[:10]}, None),
        ({"password": LONG[:200]}, None),
        ({"password": LONG[:201]}, "password"),
        ({"login": "x" * 80}, None),
        ({"login": "x" * 81}, "login"),
        ({"login": "a b"}, "login"),
        ({"login": ""}, "login"),
        ({"name": "x" * 120}, None),
        ({"name": "x" * 121}, "name"),
        ({"name": " "}, "name"),
        ({"department": "x" * 121}, "name"),
    ],
)
def test_a_teacher_s_names_and_password_may_be_so_long_and_no_longer(
    sqlite_database: Database, changed: dict[str, str], field: str | None
) -> None:
    a_teacher(sqlite_database, "another")
    given = {"login": "new", "name": "New", "department": "Physics", "password": PASSWORD} | changed
    if field is None:
        added = add_teacher(sqlite_database, now=NOW, **given)  # type: ignore[arg-type]
        signed = sign_in(
            sqlite_database, login=given["login"], password=given["password"], address="x", now=NOW
        )
        assert signed.teacher == added
        assert not added.is_head
        return
    with pytest.raises(TeacherProblem) as refused:
        add_teacher(sqlite_database, now=NOW, **given)  # type: ignore[arg-type]
    assert refused.value.field == field


def wrong_code(one: AClass, at: datetime = NOW) -> int:
    with pytest.raises(WrongCode) as wrong:
        find_practical_by_code(one.database, code="WRONG77", address="10.0.0.1", now=at)
    return wrong.value.retry_after_seconds


def test_wrong_codes_earn_a_pause_of_at_most_ten_seconds_and_none_after_ten_minutes(
    sqlite_database: Database,
) -> None:
    one = a_collecting_class(sqlite_database)
    pauses = [wrong_code(one) for _ in range(32)]
    assert pauses == [0] * 20 + [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 10, 10]
    assert wrong_code(one, NOW + 10 * MINUTE - SECOND) == 10
    assert wrong_code(one, NOW + 10 * MINUTE) == 0


def test_the_thirteenth_key_of_a_bench_is_not_looked_at_and_after_an_hour_it_is(
    sqlite_database: Database,
) -> None:
    one = a_collecting_class(sqlite_database)
    one.join(7)
    with sqlite_database.reading() as session:
        key = session.query(Bench).one().bench_key
    code = one.practical.join_code or ""

    def refused(typed: str, at: datetime = NOW) -> str:
        with pytest.raises(BenchTaken) as taken:
            join_bench(sqlite_database, code=code, bench_number=7, bench_key=typed, now=at)
        return str(taken.value)

    for _ in range(11):
        assert "not the key of bench 7" in refused("00000")
    assert refused("") == "Nothing was typed. Type the bench key that the first phone shows."
    assert (
        join_bench(sqlite_database, code=code, bench_number=7, bench_key=key, now=NOW).bench.bench_number == 7
    )
    assert "not the key" in refused("00000")
    assert "Too many wrong keys were tried" in refused(key)
    later = NOW + HOUR + SECOND
    assert join_bench(sqlite_database, code=code, bench_number=7, bench_key=key, now=later)


def test_a_cookie_of_two_hundred_characters_may_be_a_token() -> None:
    assert [credentials.is_possible("x" * length) for length in (0, 1, 200, 201)] == [
        False,
        True,
        True,
        False,
    ]
    assert credentials.is_possible(credentials.new_token())
    assert len(credentials.new_token()) == 43, "32 bytes in base64 without padding (RFC 4648)"
    assert len(credentials.tidy_code("a" * 300)) == 200
