"""Transactions, SQLite's settings, and errors as sentences."""

from __future__ import annotations

import re
import sqlite3
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path

import pytest
from sqlalchemy import insert, text, update
from sqlalchemy.exc import SQLAlchemyError, StatementError
from sqlalchemy.orm import Session
from sqlalchemy.pool import NullPool, QueuePool

from app.practicals.lesson.plan import practical_details
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import enter_run
from app.records import engine
from app.records.append_only import rule_name
from app.records.base import Base, WordsNotKept
from app.records.constraints import SENTENCES
from app.records.engine import Database, DatabaseAddressProblem, make_engine, read_address
from app.records.errors import (
    ConstraintBroken,
    DatabaseDamaged,
    DatabaseNotReady,
    DatabaseUnreachable,
    StorageProblem,
)
from app.records.migrate import open_database, upgrade
from app.records.models import Decision, Department, FailedAttempt, RunVersion, StateChange
from tests.practicals.a_class import NOW, a_collecting_class, an_entry, new_key


@pytest.mark.parametrize(
    ("version", "safe"),
    [
        # fixed in 3.51.3, 3.50.7 and 3.44.6 (sqlite.org/wal.html)
        ((3, 51, 3), True),
        ((3, 52, 0), True),
        ((3, 51, 2), False),
        ((3, 50, 7), True),
        ((3, 50, 6), False),
        ((3, 44, 6), True),
        ((3, 44, 5), False),
        ((3, 45, 0), False),
        ((3, 49, 1), False),
        ((3, 40, 1), False),
        ((3, 7, 0), False),
    ],
)
def test_a_write_ahead_log_is_used_only_where_its_reset_is_safe(version, safe) -> None:
    assert engine.wal_is_safe(version) is safe
    assert engine.journal_mode(version) == ("wal" if safe else "delete")


def test_every_sqlite_connection_is_set_up(sqlite_database: Database) -> None:
    wanted = {
        "synchronous": 2,  # FULL
        **dict.fromkeys(("foreign_keys", "secure_delete"), 1),
        "busy_timeout": engine.BUSY_TIMEOUT_MS,
        "journal_mode": engine.journal_mode(sqlite3.sqlite_version_info[:3]),
    }
    sqlite_database.close()
    with closing(sqlite3.connect(str(sqlite_database.path))) as other:  # as another SQLite left the file
        other.execute(f"PRAGMA journal_mode = {'delete' if wanted['journal_mode'] == 'wal' else 'wal'}")
    with sqlite_database.reading() as session:
        found = {name: session.execute(text(f"PRAGMA {name}")).scalar() for name in wanted}
    assert found == wanted


def test_a_phone_is_told_to_wait_before_it_loses_patience(database: Database) -> None:
    """Whoever waits for the records waits for seconds, and less than the phone's own limit."""
    script = (Path(__file__).parents[2] / "static/js/asking.js").read_text(encoding="utf-8")
    found = re.search(r"PATIENCE = (\d+)", script)
    assert found
    patience_s = int(found[1]) / 1000
    pool = database.engine.pool
    assert isinstance(pool, QueuePool)
    assert 1 <= pool.timeout() < patience_s
    assert 1 <= engine.WAIT_SECONDS < patience_s
    with database.reading() as session:
        if database.is_sqlite:
            waits_ms = int(str(session.scalar(text("PRAGMA busy_timeout"))))
        else:
            waits_ms = int(
                str(session.scalar(text("SELECT setting FROM pg_settings WHERE name = 'lock_timeout'")))
            )
    assert 1 <= waits_ms / 1000 < patience_s


def test_connections_are_kept_open_unless_it_is_said_otherwise(database: Database) -> None:
    kept, given_back = make_engine(database.url), make_engine(database.url, pooled=False)
    assert (type(kept.pool), type(given_back.pool)) == (QueuePool, NullPool)


def _half_done(session: Session) -> None:
    session.add(Department(name="Half", created_at=NOW))
    session.flush()
    raise ZeroDivisionError


def test_a_failed_block_leaves_nothing(database: Database) -> None:
    with pytest.raises(ZeroDivisionError), database.writing() as session:
        _half_done(session)
    with database.reading() as session:
        assert session.query(Department).count() == 0


def test_reading_changes_nothing(database: Database) -> None:
    if database.is_sqlite:
        with database.reading() as session:
            session.add(Department(name="Slipped in", created_at=NOW))
            session.flush()
    else:
        with pytest.raises(StorageProblem), database.reading() as session:
            session.execute(insert(Department).values(name="Slipped in", created_at=NOW))
    with database.reading() as session:
        assert session.query(Department).count() == 0


def test_a_reader_sees_one_moment(database: Database) -> None:
    with database.writing() as session:
        session.add(Department(name="Before", created_at=NOW))
    with database.reading() as reader:
        assert reader.query(Department).count() == 1
        if database.is_sqlite and engine.journal_mode(sqlite3.sqlite_version_info[:3]) == "delete":
            return  # a rollback journal makes the writer wait for this reader instead
        with database.writing() as writer:
            writer.add(Department(name="Meanwhile", created_at=NOW))
        assert reader.query(Department).count() == 1


def test_an_instant_comes_back_in_utc_with_its_zone(database: Database) -> None:
    plus_five = timezone(timedelta(hours=5, minutes=45))
    given = datetime(2031, 3, 6, 16, 0, 0, 123456, tzinfo=plus_five)
    with database.writing() as session:
        session.add(FailedAttempt(subject_digest="x", at=given))
    with database.reading() as session:
        kept = session.query(FailedAttempt).one().at
    assert kept == given
    assert kept.tzinfo is UTC or kept.utcoffset() == timedelta(0)


def test_an_instant_comes_back_in_utc_wherever_the_machine_stands(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "Asia/Tokyo")
    time.tzset()
    try:
        with database.writing() as session:
            session.add(FailedAttempt(subject_digest="x", at=NOW))
        with database.reading() as session:
            assert session.query(FailedAttempt).one().at == NOW
    finally:
        monkeypatch.undo()
        time.tzset()


def test_an_instant_without_a_zone_is_refused(database: Database) -> None:
    with pytest.raises(StatementError, match="time zone"), database.writing() as session:
        session.add(FailedAttempt(subject_digest="x", at=datetime(2031, 3, 6)))  # noqa: DTZ001


@pytest.mark.parametrize("digits", ["0.3400", "1E-7", "123456789.12345678901234567890123", "-0.05"])
def test_a_decimal_keeps_every_digit(database: Database, digits: str) -> None:
    one = a_collecting_class(database, room_temperature_C=Decimal(digits))
    plan = practical_details(database, actor=one.teacher, practical_id=one.practical_id).plan
    assert plan.room_temperature_C is not None
    assert format(plan.room_temperature_C, "f") == format(Decimal(digits), "f")


@pytest.mark.parametrize("text_given", ["half\x00way", "first half \ud800", "last half \udfff", "x" * 121])
def test_a_text_that_one_database_would_take_and_the_other_not_is_refused_by_both(
    database: Database, text_given: str
) -> None:
    said = (
        "at most 120 characters here. Shorten it" if "x" in text_given else "a character that cannot be kept"
    )
    with pytest.raises(WordsNotKept, match=said), database.writing() as session:
        session.execute(insert(Department).values(name=text_given, created_at=NOW))
    with database.reading() as session:
        assert session.query(Department).count() == 0


@pytest.mark.parametrize("text_given", ["فيزياء", "物理", "Ωμέγα — “x”", "🧪" * 120, "é" * 120])
def test_any_language_is_kept_letter_by_letter(database: Database, text_given: str) -> None:
    with database.writing() as session:
        session.execute(insert(Department).values(name=text_given, created_at=NOW))
    with database.reading() as session:
        assert session.query(Department).one().name == text_given


def test_a_broken_rule_is_named_alike_on_both_databases(database: Database) -> None:
    row = {"name": "Physics", "created_at": NOW}
    with database.writing() as session:
        session.execute(insert(Department).values(**row))
    with (
        pytest.raises(ConstraintBroken, match="already a department") as broken,
        database.writing() as session,
    ):
        session.execute(insert(Department).values(**row))
    assert broken.value.constraint == "uq_department_name"
    with pytest.raises(ConstraintBroken) as broken, database.writing() as session:
        session.execute(insert(Department).values(name="", created_at=NOW))
    assert broken.value.constraint == "ck_department_name_given"


def test_every_rule_has_a_name_and_every_sentence_a_rule() -> None:
    names = {
        str(constraint.name) for table in Base.metadata.tables.values() for constraint in table.constraints
    }
    assert "None" not in names
    names |= {
        rule_name(table) for table in ("run_version", "decision", "state_change", "deletion", "kit_check")
    }
    assert set(SENTENCES) <= names


@pytest.mark.parametrize("table", [RunVersion, Decision, StateChange])
def test_the_database_refuses_to_change_what_was_written(database: Database, table: type) -> None:
    one = a_collecting_class(database)
    run = enter_run(database, actor=one.join(3), key=new_key(), entry=an_entry(), now=NOW)
    set_aside(database, actor=one.teacher, run_id=run.run_id, reason="odd", expected_revision=1, now=NOW)
    later = NOW + timedelta(days=1)
    with pytest.raises(ConstraintBroken, match="kept as it was") as broken, database.writing() as session:
        session.execute(update(table).values(at=later))
    assert broken.value.constraint.endswith("_written_once")


def test_missing_tables_are_said_to_be_missing(tmp_path) -> None:
    empty = Database(f"sqlite:///{tmp_path / 'empty.db'}")
    with pytest.raises(DatabaseNotReady), empty.reading() as session:
        session.query(Department).count()
    empty.close()


def test_a_file_that_is_no_database_is_said_to_be_damaged_and_left_alone(tmp_path) -> None:
    path = tmp_path / "letter.db"
    path.write_bytes(b"Dear colleagues, " * 500)
    letter = Database(f"sqlite:///{path}")
    with pytest.raises(DatabaseDamaged, match="backup"), letter.reading() as session:
        session.query(Department).count()
    with pytest.raises(DatabaseDamaged):
        upgrade(letter)
    assert path.read_bytes() == b"Dear colleagues, " * 500
    letter.close()


def test_a_server_that_is_not_there_is_said_to_be_unreachable() -> None:
    nowhere = Database("postgresql://nobody@127.0.0.1:1/nothing")
    with pytest.raises(DatabaseUnreachable), nowhere.reading() as session:
        session.query(Department).count()
    nowhere.close()


def test_a_folder_that_is_not_there_is_said_and_no_running_database_is_asked_for(tmp_path) -> None:
    nowhere = Database(f"sqlite:///{tmp_path / 'missing' / 'x.db'}")
    with (
        pytest.raises(DatabaseUnreachable, match="its folder is there") as said,
        nowhere.reading() as session,
    ):
        session.query(Department).count()
    assert "database is running" not in str(said.value)
    nowhere.close()


def test_a_file_that_cannot_be_made_is_named_with_the_reason(tmp_path) -> None:
    (tmp_path / "file").write_text("")
    path = tmp_path / "file" / "below" / "x.db"
    with pytest.raises(StorageProblem, match="Not a directory") as said:
        open_database(f"sqlite:///{path}")
    assert str(path) in str(said.value)
    assert "database is running" not in str(said.value)


@pytest.mark.parametrize(
    "address",
    ["", "nonsense", "sqlite://", "sqlite:///:memory:", "sqlite:///file:x?mode=ro", "mysql://u@h/d"],
)
def test_an_address_that_cannot_keep_records_is_refused(address: str) -> None:
    with pytest.raises(DatabaseAddressProblem):
        read_address(address)


@pytest.mark.parametrize("scheme", ["postgres", "postgresql", "postgresql+psycopg"])
def test_postgresql_is_reached_through_psycopg(scheme: str) -> None:
    assert read_address(f"{scheme}://u@h/d").drivername == "postgresql+psycopg"


def test_a_failure_that_is_logged_does_not_say_what_was_being_stored(database: Database) -> None:
    with pytest.raises(SQLAlchemyError) as failure, database.engine.connect() as connection:
        connection.execute(
            text("SELECT no_such_column FROM teacher WHERE login = :name"), {"name": "a-secret"}
        )
    assert "a-secret" not in str(failure.value)
