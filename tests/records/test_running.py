"""A server marks that it runs, and whoever needs the records alone is told."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from app.records.doctor import examine
from app.records.engine import Database
from app.records.running import (
    AnotherServer,
    CannotBeLocked,
    ServerIsRunning,
    kept_alone,
    serving_from,
    who_is_serving,
)

ROOT = Path(__file__).resolve().parents[2]


def test_one_server_and_no_command_beside_it_on_sqlite(sqlite_database: Database) -> None:
    by_another_name = Database(f"sqlite:///{sqlite_database.path.parent}/./plumbfall.db")  # type: ignore[union-attr]
    assert who_is_serving(sqlite_database) is None
    with serving_from(sqlite_database):
        assert "process" in (who_is_serving(by_another_name) or "")
        with pytest.raises(AnotherServer, match="several servers at once need PostgreSQL"):
            serving_from(by_another_name).__enter__()
        with pytest.raises(ServerIsRunning, match="Stop it"):
            kept_alone(by_another_name).__enter__()
    with kept_alone(sqlite_database), pytest.raises(AnotherServer):
        serving_from(sqlite_database).__enter__()
    assert who_is_serving(sqlite_database) is None
    by_another_name.close()


def test_several_servers_and_no_command_beside_them_on_postgresql(postgresql_database: Database) -> None:
    with serving_from(postgresql_database) as first, serving_from(postgresql_database):
        assert "2 at" in (who_is_serving(postgresql_database) or "")
        with pytest.raises(ServerIsRunning):
            kept_alone(postgresql_database).__enter__()
        with postgresql_database.engine.begin() as connection:  # the database server drops the connections
            connection.exec_driver_sql(
                "SELECT pg_terminate_backend(pid, 5000) FROM pg_locks JOIN pg_database d ON d.oid = database"
                " WHERE locktype = 'advisory' AND datname = current_database()"
            )
        assert who_is_serving(postgresql_database) is None
        first.renew()
        assert "1 at" in (who_is_serving(postgresql_database) or "")
    with kept_alone(postgresql_database), pytest.raises(AnotherServer):
        serving_from(postgresql_database).__enter__()
    assert who_is_serving(postgresql_database) is None


def test_a_mark_that_cannot_be_set_again_is_noted_and_tried_again(
    postgresql_database: Database, caplog: pytest.LogCaptureFixture
) -> None:
    with serving_from(postgresql_database) as mark:
        mark.end()
        with kept_alone(postgresql_database):
            mark.renew()
        assert "could not be set again; it is tried again" in caplog.text
        mark.renew()
        assert "1 at" in (who_is_serving(postgresql_database) or "")


def test_in_a_folder_without_locks_a_server_starts_and_says_so_and_a_command_does_not(
    sqlite_database: Database, tmp_path: Path, without_locks: None, caplog: pytest.LogCaptureFixture
) -> None:
    with serving_from(sqlite_database):
        assert "a second server would go unnoticed" in caplog.text
    with pytest.raises(CannotBeLocked, match=r"cannot be locked \(No locks available\)"):
        kept_alone(sqlite_database).__enter__()
    (said,) = (one for one in examine(str(sqlite_database.url), tmp_path) if one.subject == "server")
    assert (said.good, "cannot be told" in said.text) == (False, True)


def test_a_server_that_was_killed_runs_no_longer(sqlite_database: Database) -> None:
    program = (
        "from app.records.engine import Database; from app.records.running import serving_from\n"
        f"with serving_from(Database('sqlite:///{sqlite_database.path}')): print('on', flush=True); input()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        assert server.stdout.readline() == "on\n"
        assert f"process {server.pid}" in (who_is_serving(sqlite_database) or "")
        server.kill()
    assert who_is_serving(sqlite_database) is None
