"""What happens when the disk, another process or the database server gets in the way."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import event, text
from sqlalchemy.orm import Session

from app.practicals.runs.sending import enter_run
from app.records import engine
from app.records.engine import Database
from app.records.errors import DatabaseBusy, DatabaseFull, DatabaseUnreachable
from tests.practicals.a_class import NOW, a_collecting_class, an_entry, new_key, revision_of
from tests.practicals.seen import bench_runs


@contextmanager
def held_by_another(database: Database) -> Iterator[None]:
    """Another program writes to the same SQLite file and takes its time."""
    other = sqlite3.connect(str(database.path), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        yield
    finally:
        other.execute("ROLLBACK")
        other.close()


def test_a_writer_that_waits_too_long_is_told_to_try_again_and_nothing_is_stored(
    sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = a_collecting_class(sqlite_database)
    bench, key = one.join(1), new_key()
    sqlite_database.close()
    monkeypatch.setattr(engine, "BUSY_TIMEOUT_MS", 50)
    with held_by_another(sqlite_database), pytest.raises(DatabaseBusy) as busy:
        enter_run(sqlite_database, actor=bench, key=key, entry=an_entry(), now=NOW)
    assert busy.value.retry_after_seconds > 0
    assert bench_runs(sqlite_database, actor=bench) == []
    assert enter_run(sqlite_database, actor=bench, key=key, entry=an_entry(), now=NOW).number == 1


def test_a_reader_is_not_kept_out_by_a_writer_that_has_not_finished(sqlite_database: Database) -> None:
    one = a_collecting_class(sqlite_database)
    with held_by_another(sqlite_database):
        assert revision_of(sqlite_database, one.practical_id) == one.practical.revision


def test_a_write_takes_its_place_before_it_reads(sqlite_database: Database) -> None:
    """BEGIN IMMEDIATE: a write that read first and asked for the lock later could never be retried."""
    one = a_collecting_class(sqlite_database)
    said: list[str] = []
    event.listen(
        sqlite_database.engine,
        "before_cursor_execute",
        lambda _c, _cur, statement, *_r: said.append(statement),
    )
    enter_run(sqlite_database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    assert [s for s in said if s.startswith("BEGIN")] == ["BEGIN IMMEDIATE"] * 2
    said.clear()
    revision_of(sqlite_database, one.practical_id)
    assert said[0] == "BEGIN DEFERRED"


def test_a_full_disk_stores_nothing_and_says_so(sqlite_database: Database) -> None:
    one = a_collecting_class(sqlite_database)
    bench = one.join(1)
    sqlite_database.close()

    @event.listens_for(sqlite_database.engine, "connect")
    def no_more_pages(connection, _record) -> None:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages}")

    stored: list[int] = []

    def send_until_it_fails() -> None:
        while len(stored) < 150:
            saved = enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
            stored.append(saved.number)

    with pytest.raises(DatabaseFull, match="nothing was stored"):
        send_until_it_fails()
    assert [run.number for run in bench_runs(sqlite_database, actor=bench)] == stored
    sqlite_database.close()
    event.remove(sqlite_database.engine, "connect", no_more_pages)
    assert enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)


def test_two_server_processes_share_one_sqlite_file(sqlite_database: Database) -> None:
    one = a_collecting_class(sqlite_database)
    bench = one.join(1)
    second = Database(f"sqlite:///{sqlite_database.path}")
    for database in (sqlite_database, second, sqlite_database, second):
        enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    assert [run.number for run in bench_runs(second, actor=bench)] == [1, 2, 3, 4]
    second.close()


def test_a_database_server_that_drops_its_connections_is_reached_again(
    postgresql_database: Database,
) -> None:
    one = a_collecting_class(postgresql_database)
    bench = one.join(1)
    with pytest.raises(DatabaseUnreachable), postgresql_database.writing() as session:
        session.execute(text("SELECT pg_terminate_backend(pg_backend_pid())"))
    assert enter_run(postgresql_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW).number == 1


def test_a_row_that_another_server_holds_makes_the_write_busy(postgresql_database: Database) -> None:
    one = a_collecting_class(postgresql_database)
    bench, key = one.join(1), new_key()
    with postgresql_database.engine.begin() as other:
        other.execute(LOCK, {"id": one.practical_id})
        with pytest.raises(DatabaseBusy), postgresql_database.writing() as session:
            _wait_briefly_for(session, one.practical_id)
    assert enter_run(postgresql_database, actor=bench, key=key, entry=an_entry(), now=NOW).number == 1


LOCK = text("SELECT id FROM practical WHERE id = :id FOR UPDATE")


def _wait_briefly_for(session: Session, practical_id: int) -> None:
    session.execute(text("SET LOCAL lock_timeout = '50ms'"))
    session.execute(LOCK, {"id": practical_id})
