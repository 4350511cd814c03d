"""The server's log of a whole lesson: what went wrong is in it, and no word that anybody typed."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from app.records.engine import Database
from app.records.errors import DatabaseFull
from app.records.models import Bench, BenchPhone, KnownBrowser, Practical, Run, TeacherSession
from app.server_log import logging_to
from tests.practicals.a_class import PASSWORD, a_teacher
from tests.web.desk.conftest import Reader, application, desk, nobody, teacher  # noqa: F401 - fixtures
from tests.web.desk.plan.test_planning_a_practical import GOOD
from tests.web.phone.phone import KEY, READINGS, Phone

WORDS = "the probe slipped out at 17.93"
TYPED = {"title": "Kestrel set 9", "accepted_source": "the blue handbook", "room_temperature": "20.83"}
READ = {**READINGS, "shot_mass": "341.75", "start_temperature": "18.37", "end_temperature": "20.91"}
KEPT = (Practical.join_code, Bench.bench_key, BenchPhone.token_digest, Run.idempotency_key)
KEPT_OF_TEACHERS = (TeacherSession.token_digest, KnownBrowser.proof_digest)


@pytest.fixture(params=["plain", "json"])
def log(request: pytest.FixtureRequest) -> Iterator[io.StringIO]:
    """The lines of a server that logs in this form."""
    stream = io.StringIO()
    with logging_to(stream, request.param):
        yield stream


def test_a_lesson_with_all_that_goes_wrong_leaves_lines_without_a_word_of_it(
    log: io.StringIO,
    application: Flask,  # noqa: F811 - the fixture
    sqlite_database: Database,
    desk: Reader,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    other, phone = Reader(application.test_client()), Phone(application.test_client())
    a_teacher(sqlite_database, "k.other", department="Chemistry", is_head=True)
    assert other.post("/sign-in", login="k.other", password="drowssap drowssap").status_code == 422
    other.sign_in("k.other")
    answer = desk.post("/desk/new", **{**GOOD, **TYPED})
    lesson = answer.headers["Location"].rstrip("/")
    assert desk.post(f"{lesson}/conduct/open").status_code == 302
    with sqlite_database.reading() as session:
        code = str(session.scalar(select(Practical.join_code)))
    assert phone.open("/j/Q7Q7Q7Q").status_code == 404
    phone.join(code, 3)
    assert phone.ask("/bench/send", {**READ, "key": KEY, "bench": "1"}).status_code == 200
    assert phone.client.post("/bench/help", data={"wanted": WORDS}).status_code == 400, "without its token"
    aside = {"action": "set-aside", "reason": WORDS, "run_revision": "1"}
    assert desk.post(f"{lesson}/run/1/decide", **aside).status_code == 302
    assert desk.post(f"{lesson}/wall", what="forward").status_code == 302
    assert other.get(lesson + "/").status_code == 404
    assert desk.get("/department/teachers").status_code == 403
    assert desk.get(f"/nowhere/{WORDS}").status_code == 404
    with monkeypatch.context() as failing:
        failing.setattr(Database, "writing", full)
        assert desk.post(f"{lesson}/wall", what="forward").status_code == 503
        failing.setitem(application.view_functions, "desk.history", broken)
        assert desk.client.get(f"{lesson}/history").status_code == 500
    assert desk.post(f"{lesson}/conduct/finish", sure="yes").status_code == 302
    said = log.getvalue()
    for parts in (
        ("sign-in failed",),
        ("signed in", r"teacher\W+2\b"),
        ("refused", r"status\W+404", r"route\W+/j/<code>"),
        ("refused", r"status\W+404", r"route\W+/desk/<int:practical_id>/\W", r"teacher\W+2\b"),
        ("refused", r"status\W+404", r"route\W+none"),
        ("refused", r"status\W+403", r"route\W+/department/teachers\b", r"teacher\W+1\b"),
        ("refused", r"status\W+400", r"route\W+/bench/help"),
        ("storage", r"kind\W+DatabaseFull", r"teacher\W+1\b"),
        ("unexpected failure", r"failure\W+ZeroDivisionError", "test_incidents.py:"),
    ):
        found = [line for line in said.splitlines() if all(re.search(part, line) for part in parts)]
        assert len(found) == 1, parts
    said = re.sub(r"\d{4}-\d\d-\d\dT[\d:.]+Z", "", said)  # whose seconds may look like a reading
    for secret in _secrets(sqlite_database, [desk.client, other.client, phone.client]):
        assert secret not in said, secret


def test_an_attempt_within_the_pause_that_guesses_earned_is_told_once(nobody: Reader) -> None:  # noqa: F811
    stream = io.StringIO()
    with logging_to(stream):
        tries = [nobody.post("/sign-in", login="k.other", password=f"g {n}").status_code for n in range(6)]
    assert tries == [422] * 5 + [429]
    told = re.findall(r"sign-in failed|refused", stream.getvalue())
    assert told == ["sign-in failed"] * 6


def full(*_: object) -> None:
    """The disk has no room."""
    raise DatabaseFull()


def broken(**_: object) -> None:
    """A failure of ours that quotes what somebody typed."""
    raise ZeroDivisionError(WORDS)


broken.audience = "teacher"  # type: ignore[attr-defined]


def _secrets(database: Database, clients: list[Any]) -> set[str]:
    """Names, words, codes, keys, tokens and their digests, readings, addresses: what may be in no line."""
    said = {"okafor", "Okafor", "k.other", "K.Other", "Physics", "Chemistry", PASSWORD, "drowssap", WORDS}
    said |= {*TYPED.values(), "Q7Q7Q7Q", "127.0.0.1"}
    said |= {READ[name] for name in ("shot_mass", "start_temperature", "end_temperature")}
    cookies = [cookie.value for client in clients for cookie in client._cookies.values()]
    said |= {value for value in cookies if len(value) > 4}
    with database.reading() as session:
        for column in (*KEPT, *KEPT_OF_TEACHERS):
            values = [value for value in session.scalars(select(column)) if value]
            assert values or column is Practical.join_code, "nothing to look for"
            said |= {str(value) for value in values}
    return said
