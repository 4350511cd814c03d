"""A running server looks after its records, not only at its start."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import pytest
from flask import Flask

from app import create_app, serving
from app.connections import (
    CONNECTIONS,
    HEAD_SECONDS,
    REQUEST_SECONDS,
    SILENT_SECONDS,
    UNFINISHED_OF_ONE_ADDRESS,
    Channel,
)
from app.practicals.lesson.plan import plan_practical
from app.records.engine import Database
from app.records.errors import DatabaseBusy
from app.serving import HOUR_SECONDS, Regularly
from app.settings import Settings
from tests.practicals.a_class import NOW, a_plan, a_teacher
from tests.practicals.seen import practicals_of_department


def _until(done: Callable[[], bool]) -> None:
    """Wait until it is done; a test that it never comes to fails by itself."""
    for _ in range(2000):
        if done():
            return
        time.sleep(0.01)
    pytest.fail("it was never done")


def test_it_is_done_again_and_again_and_a_failure_ends_nothing(caplog: pytest.LogCaptureFixture) -> None:
    times: list[int] = []

    def work() -> None:
        times.append(1)
        if len(times) == 1:
            raise DatabaseBusy()
        if len(times) == 2:
            raise ZeroDivisionError

    with caplog.at_level(logging.WARNING), Regularly(work, every_seconds=0.01):
        _until(lambda: len(times) >= 4)
    done = len(times)
    time.sleep(0.05)
    assert len(times) == done, "it ends with its block"
    assert [record.levelname for record in caplog.records] == ["WARNING", "ERROR"]


HEAD, BODY = SimpleNamespace(headers_finished=False), SimpleNamespace(headers_finished=True)


@pytest.mark.parametrize(
    ("coming_in", "being_answered", "since_s", "late"),
    [
        (None, [], 1e6, False),
        (None, [BODY], 1e6, False),
        (BODY, [BODY], 1e6, False),
        (HEAD, [], HEAD_SECONDS, False),
        (HEAD, [], HEAD_SECONDS + 1, True),
        (BODY, [], HEAD_SECONDS + 1, False),
        (BODY, [], REQUEST_SECONDS, False),
        (BODY, [], REQUEST_SECONDS + 1, True),
    ],
)
def test_only_a_request_that_is_still_coming_in_can_be_late(
    coming_in: object, being_answered: list[object], since_s: float, late: bool
) -> None:
    channel = Channel.__new__(Channel)
    channel.request, channel.requests, channel.begun = coming_in, being_answered, 5.0
    assert channel.is_late(5.0 + since_s) is late


def test_a_server_that_is_left_running_deletes_what_has_come_past_its_day(
    sqlite_database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    teacher = a_teacher(sqlite_database)
    settings = Settings.from_environment(
        {
            "PLUMBFALL_DATA": str(tmp_path),
            "DATABASE_URL": str(sqlite_database.url),
            "PLUMBFALL_PROXY_HOPS": "1",
        }
    )
    app = create_app(settings)

    class Waiting:
        """A server behind a proxy that runs until nothing is left to wait for."""

        def __init__(self, _app: Flask, *, behind_proxy: bool, **_options: object) -> None:
            assert behind_proxy

        def run(self) -> None:
            plan = a_plan(held_on=date(2020, 1, 1), delete_after=date(2020, 1, 2))
            plan_practical(sqlite_database, actor=teacher, plan=plan, now=NOW)
            _until(lambda: practicals_of_department(sqlite_database, actor=teacher) == [])

    monkeypatch.setattr("app.connections.create_server", Waiting)
    monkeypatch.setattr(serving, "Regularly", partial(Regularly, every_seconds=0.02))
    serving.serve(app, settings)
    app.extensions["plumbfall_database"].close()
    assert HOUR_SECONDS == 3600


def test_a_server_that_is_left_running_backs_up_and_says_what_keeps_it_from_that(
    sqlite_database: Database,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    folder = tmp_path / "copies"
    settings = Settings.from_environment(
        {
            "PLUMBFALL_DATA": str(tmp_path),
            "DATABASE_URL": str(sqlite_database.url),
            "PLUMBFALL_BACKUP_FOLDER": str(folder),
        }
    )
    app = create_app(settings)
    backups = app.extensions["plumbfall_backups"]

    class Waiting:
        def run(self) -> None:
            """Until the missing folder was noticed, and then until it was filled."""
            _until(lambda: backups.problem is not None)
            folder.mkdir()
            monkeypatch.setattr("app.records.scheduled.AGAIN_AFTER", timedelta(0))
            _until(lambda: len(list(folder.glob("plumbfall-*.db"))) == 1 and backups.problem is None)

    monkeypatch.setattr("app.connections.create_server", lambda *_args, **_options: Waiting())
    monkeypatch.setattr(serving, "Regularly", lambda work, **_: Regularly(work, every_seconds=0.02))
    serving.serve(app, settings)
    app.extensions["plumbfall_database"].close()
    assert f"upkeep: The folder for backups, {folder}, is not there" in capsys.readouterr().err


def test_a_class_of_phones_and_more_is_held_and_a_silent_one_is_let_go(
    sqlite_database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A school shares one server: a thousand connections, three hundred of one address unfinished; a minute
    of silence, a quarter of one for a head; heads of 32 KiB, bodies of 8 MiB at most (our own choices)."""
    settings = Settings.from_environment(
        {"PLUMBFALL_DATA": str(tmp_path), "DATABASE_URL": str(sqlite_database.url), "PLUMBFALL_THREADS": "7"}
    )
    app, given = create_app(settings), {}
    monkeypatch.setattr(logging.getLogger("waitress.queue"), "level", logging.NOTSET)

    class Over:
        def run(self) -> None:
            """It ends at once."""

    def create(_app: object, **options: object) -> Over:
        given.update(options)
        return Over()

    monkeypatch.setattr("app.connections.create_server", create)
    serving.serve(app, settings)
    app.extensions["plumbfall_database"].close()
    assert {name: given[name] for name in ("host", "port", "threads")} == {
        "host": settings.host,
        "port": settings.port,
        "threads": 7,
    }
    assert logging.getLogger("waitress.queue").level == logging.ERROR, "a short wait is no fault"
    assert (given["max_request_header_size"], given["max_request_body_size"]) == (32768, 8 * 2**20)
    assert (given["behind_proxy"], given["clear_untrusted_proxy_headers"], given["ident"]) == (
        False,
        False,
        None,
    )
    assert (CONNECTIONS, UNFINISHED_OF_ONE_ADDRESS) == (1000, 300)
    assert (SILENT_SECONDS, HEAD_SECONDS, REQUEST_SECONDS) == (60, 15, 60)
