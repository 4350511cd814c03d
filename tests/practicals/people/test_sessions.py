"""A teacher's own sign-ins as they are listed, and when what is done in one is noted."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from app.practicals.people.sessions import (
    MOST_AHEAD,
    SEEN_EVERY,
    SESSION_HOURS,
    Browser,
    OwnSession,
    own_sessions,
    sign_out,
    teacher_for_token,
)
from app.practicals.people.teachers import sign_in
from app.records.engine import Database
from app.records.models import TeacherSession
from tests.practicals.a_class import NOW, PASSWORD, a_teacher

SECOND, MINUTE, HOUR = timedelta(seconds=1), timedelta(minutes=1), timedelta(hours=1)


def test_this_sign_in_is_listed_first_then_the_last_seen_and_none_that_is_over(
    sqlite_database: Database,
) -> None:
    teacher = a_teacher(sqlite_database)
    a_teacher(sqlite_database, "other")
    how: dict[str, Any] = {"login": "mrs-okafor", "password": PASSWORD, "address": "here"}
    browsers = [Browser("Firefox", "Linux"), Browser("Safari"), Browser(), Browser("Edge", "Windows")]
    begun = [NOW, NOW + MINUTE, NOW + 2 * MINUTE, NOW + 3 * MINUTE]
    tokens = [
        sign_in(sqlite_database, now=at, where=browser, **how).token
        for at, browser in zip(begun, browsers, strict=True)
    ]
    sign_in(sqlite_database, now=NOW, **how | {"login": "other"})
    sign_out(sqlite_database, token=tokens[3], now=begun[3])
    asks: dict[str, Any] = {"actor": teacher, "token": tokens[0]}
    listed = own_sessions(sqlite_database, now=begun[3], **asks)
    with sqlite_database.reading() as session:
        ids = [row.id for row in session.query(TeacherSession).order_by(TeacherSession.id)]
    one, two, three = (
        OwnSession(ids[place], browsers[place], begun[place], begun[place], place == 0) for place in range(3)
    )
    assert listed == [one, three, two]
    ends = timedelta(hours=SESSION_HOURS)
    assert own_sessions(sqlite_database, now=begun[1] + ends, **asks) == [three]
    assert own_sessions(sqlite_database, now=begun[3], idle=2 * MINUTE, **asks) == [three]


def test_what_is_done_in_a_session_is_noted_each_minute_and_a_clock_may_step_back_a_little(
    sqlite_database: Database,
) -> None:
    teacher = a_teacher(sqlite_database)
    token = sign_in(sqlite_database, login="mrs-okafor", password=PASSWORD, address="here", now=NOW).token

    def seen_and_ends() -> tuple[Any, Any]:
        with sqlite_database.reading() as session:
            row = session.query(TeacherSession).one()
            return row.last_seen_at, row.expires_at

    ends = NOW + timedelta(hours=SESSION_HOURS)
    for acts, after, seen in (
        (False, SEEN_EVERY, NOW),
        (True, SEEN_EVERY - SECOND, NOW),
        (True, SEEN_EVERY, NOW + SEEN_EVERY),
    ):
        assert teacher_for_token(sqlite_database, token=token, now=NOW + after, acts=acts) == teacher
        assert seen_and_ends() == (seen, ends)
    back = NOW + SEEN_EVERY - MOST_AHEAD
    assert teacher_for_token(sqlite_database, token=token, now=back - SECOND, acts=True) is None
    assert teacher_for_token(sqlite_database, token=token, now=back, acts=True) == teacher
    assert seen_and_ends() == (back, min(ends, back + timedelta(hours=SESSION_HOURS)))
