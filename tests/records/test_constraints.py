"""What a database's own error means, from the codes in the two databases' manuals; no database is asked."""

from __future__ import annotations

import sqlite3

import psycopg
import pytest
from psycopg import errors
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from app.records.constraints import constraint_name, explained
from app.records.errors import (
    DatabaseBusy,
    DatabaseDamaged,
    DatabaseFull,
    DatabaseNotReady,
    DatabaseUnreachable,
    FileNotOpened,
)


def of_sqlite(code: int, text: str = "") -> DBAPIError:
    raised = sqlite3.OperationalError(text)
    raised.sqlite_errorcode = code
    return DBAPIError("", {}, raised)


# Numbers from SQLite's page "Result and Error Codes"; an extended code has its primary one in the low 8 bits.
@pytest.mark.parametrize(
    ("code", "means"),
    [
        (5, DatabaseBusy),  # SQLITE_BUSY
        (517, DatabaseBusy),  # SQLITE_BUSY_SNAPSHOT
        (6, DatabaseBusy),  # SQLITE_LOCKED
        (8, DatabaseFull),  # SQLITE_READONLY
        (10, DatabaseFull),  # SQLITE_IOERR
        (778, DatabaseFull),  # SQLITE_IOERR_WRITE
        (13, DatabaseFull),  # SQLITE_FULL
        (11, DatabaseDamaged),  # SQLITE_CORRUPT
        (26, DatabaseDamaged),  # SQLITE_NOTADB
        (14, FileNotOpened),  # SQLITE_CANTOPEN
    ],
)
def test_a_code_of_sqlite_means(code: int, means: type) -> None:
    assert type(explained(of_sqlite(code))) is means


def test_sqlite_says_by_its_text_that_tables_are_missing() -> None:
    assert isinstance(explained(of_sqlite(1, "no such table: run")), DatabaseNotReady)
    assert isinstance(explained(of_sqlite(1, "no such column: run.at")), DatabaseNotReady)
    assert explained(of_sqlite(1, 'near "SELCT": syntax error')) is None, "a fault of this program"


# Codes from PostgreSQL's manual, appendix "PostgreSQL Error Codes".
@pytest.mark.parametrize(
    ("state", "means"),
    [
        ("55P03", DatabaseBusy),  # lock_not_available
        ("40P01", DatabaseBusy),  # deadlock_detected
        ("40001", DatabaseBusy),  # serialization_failure
        ("53300", DatabaseBusy),  # too_many_connections
        ("57014", DatabaseBusy),  # query_canceled
        ("53100", DatabaseFull),  # disk_full
        ("58030", DatabaseFull),  # io_error
        ("25006", DatabaseFull),  # read_only_sql_transaction
        ("42P01", DatabaseNotReady),  # undefined_table
        ("42703", DatabaseNotReady),  # undefined_column
        ("08006", DatabaseUnreachable),  # connection_failure
        ("57P01", DatabaseUnreachable),  # admin_shutdown
        ("28P01", DatabaseUnreachable),  # invalid_password
        ("3D000", DatabaseUnreachable),  # invalid_catalog_name
    ],
)
def test_a_code_of_postgresql_means(state: str, means: type) -> None:
    assert type(explained(DBAPIError("", {}, errors.lookup(state)()))) is means


def test_a_postgresql_that_never_answered_is_unreachable_and_a_wrong_statement_is_our_fault() -> None:
    never = DBAPIError("", {}, psycopg.OperationalError("connection refused"))
    assert type(explained(never)) is DatabaseUnreachable
    dropped = DBAPIError("", {}, psycopg.InterfaceError("closed"), connection_invalidated=True)
    assert type(explained(dropped)) is DatabaseUnreachable
    assert explained(DBAPIError("", {}, psycopg.InterfaceError("closed"))) is None
    assert explained(DBAPIError("", {}, errors.lookup("42601")())) is None  # syntax_error
    assert explained(ValueError("not of a database")) is None


def test_a_pool_without_a_free_connection_is_busy() -> None:
    assert isinstance(explained(PoolTimeout()), DatabaseBusy)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("UNIQUE constraint failed: teacher.login", "uq_teacher_login"),
        ("UNIQUE constraint failed: run.bench_id, run.number", "uq_run_bench_id_number"),
        ("UNIQUE constraint failed: other.name", "other.name"),
        ("CHECK constraint failed: ck_bench_number_possible", "ck_bench_number_possible"),
        ("FOREIGN KEY constraint failed", "foreign key"),
        ("NOT NULL constraint failed: run.number", "not null"),
        ("datatype mismatch", "integrity"),
    ],
)
def test_sqlite_names_the_rule_that_was_broken(text: str, name: str) -> None:
    assert constraint_name(IntegrityError("", {}, sqlite3.IntegrityError(text))) == name
