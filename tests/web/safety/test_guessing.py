"""Guessing codes: slowed down, never at the cost of a class that shares the guesser's address."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import select

from app import create_app
from app.practicals.people import credentials
from app.records.engine import Database
from app.records.models import FailedAttempt
from app.settings import Settings
from tests.practicals.a_class import AClass
from tests.web.phone.phone import Phone

SCHOOL, GUESSER = "198.51.100.7", "203.0.113.9"
SLOW_AFTER = 20


@pytest.fixture(params=[0, 1], ids=["no proxy", "one proxy"])
def hops(request: pytest.FixtureRequest) -> int:
    return int(request.param)


@pytest.fixture
def application(hops: int, sqlite_database: Database, tmp_path: Path) -> Flask:
    environ = {"PLUMBFALL_DATA": str(tmp_path), "DATABASE_URL": str(sqlite_database.url)}
    return create_app(replace(Settings.from_environment(environ), proxy_hops=hops))


def guess(application: Flask, hops: int, code: str, claimed: str, address: str = GUESSER) -> str | None:
    """Try a code while claiming to come from elsewhere; how long a pause is asked for."""
    forwarded = f"{claimed}, {address}" if hops else claimed
    peer = "127.0.0.1" if hops else address
    answer = application.test_client().get(
        f"/j/{code}", headers={"X-Forwarded-For": forwarded}, environ_overrides={"REMOTE_ADDR": peer}
    )
    assert answer.status_code in (200, 404, 429)
    return "let in" if answer.status_code == 200 else answer.headers.get("Retry-After")


def test_claiming_another_address_each_time_does_not_help(application: Flask, hops: int) -> None:
    pauses = [guess(application, hops, "AAAAAAA", f"10.0.0.{n}") for n in range(SLOW_AFTER + 2)]
    assert pauses[: SLOW_AFTER - 1] == [None] * (SLOW_AFTER - 1)
    assert pauses[-1] is not None
    assert pauses[-1].isdigit()
    assert guess(application, hops, "AAAAAAA", "10.0.0.1", address=SCHOOL) is None


def test_the_right_code_lets_in_from_the_guessers_own_address(
    application: Flask, hops: int, a_class: AClass
) -> None:
    for n in range(SLOW_AFTER + 5):
        guess(application, hops, "AAAAAAA", f"10.0.0.{n}")
    assert guess(application, hops, a_class.practical.join_code or "", "10.0.0.1") == "let in"


def test_the_address_of_a_phone_cannot_be_worked_back_from_the_records(
    application: Flask, hops: int, sqlite_database: Database
) -> None:
    guess(application, hops, "AAAAAAA", "10.0.0.1")
    Phone(application.test_client()).open("/j/AAAAAAA")
    known = [
        credentials.attempt_subject("join code", address) for address in (GUESSER, "127.0.0.1", "10.0.0.1")
    ]
    with sqlite_database.reading() as session:
        kept = session.scalars(select(FailedAttempt.subject_digest)).all()
    assert len(kept) == 2
    assert not set(kept) & set(known)
