"""What an installation's records stand on, said in lines that a technician can read out on the phone."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from dataclasses import dataclass
from pathlib import Path

import psycopg
from sqlalchemy import text

from app.records.engine import Database
from app.records.errors import Problem
from app.records.migrate import current_revision_of_tables, newest_revision
from app.records.sqlite_settings import journal_mode, wal_is_safe


@dataclass(frozen=True)
class Finding:
    """One line of the doctor's."""

    subject: str
    text: str
    good: bool = True


def examine(address: str, data_folder: Path) -> list[Finding]:
    """Look at the database and the folders; nothing is changed and no problem is raised."""
    findings = [_folder("data folder", data_folder)]
    try:
        database = Database(address)
    except Problem as problem:
        return [*findings, Finding("database", str(problem), good=False)]
    shown = database.url.render_as_string(hide_password=True)
    try:
        findings.append(Finding("database", shown))
        findings.append(Finding("driver", _driver(database)))
        if database.path is not None:
            findings += _sqlite(database, database.path)
        else:
            findings.append(Finding("PostgreSQL version", _ask(database, "SHOW server_version")))
        findings.append(_tables(database))
    except Problem as problem:
        findings.append(Finding("database", str(problem), good=False))
    finally:
        database.close()
    return findings


def _driver(database: Database) -> str:
    driver = database.engine.dialect.driver
    return driver if database.is_sqlite else f"{driver} {psycopg.__version__}"


def _sqlite(database: Database, path: Path) -> list[Finding]:
    version = sqlite3.sqlite_version_info[:3]
    note = "" if wal_is_safe(version) else " (without a write-ahead log: this version's can lose pages)"
    lines = [
        Finding("SQLite version", sqlite3.sqlite_version + note),
        _folder("database folder", path.parent),
    ]
    if not path.exists():
        return [*lines, Finding("database file", "not there yet; it is made at the first start")]
    mode = _ask(database, "PRAGMA journal_mode")
    lines.append(Finding("journal mode", mode, good=mode == journal_mode(version)))
    synchronous = _ask(database, "PRAGMA synchronous")
    lines.append(Finding("synchronous", "full" if synchronous == "2" else synchronous, synchronous == "2"))
    whole = _ask(database, "PRAGMA quick_check")
    lines.append(Finding("file check", whole, good=whole == "ok"))
    return lines


def _tables(database: Database) -> Finding:
    wanted = newest_revision()
    if database.path is not None and not database.path.exists():
        return Finding("tables", f"not there yet; they are made at the first start ({wanted})")
    found = current_revision_of_tables(database)
    if found is None:
        return Finding("tables", f"not there yet; they are made at the first start ({wanted})")
    if found != wanted:
        return Finding("tables", f"at {found}, wanted {wanted}; starting the program brings them up to date")
    return Finding("tables", f"up to date ({found})")


def _ask(database: Database, question: str) -> str:
    with database.reading() as session:
        return str(session.execute(text(question)).scalar())


def _folder(subject: str, folder: Path) -> Finding:
    there = next((place for place in (folder, *folder.parents) if place.exists()), folder)
    try:
        with tempfile.TemporaryFile(dir=there):
            pass
    except OSError as error:
        return Finding(subject, f"{folder} cannot be written: {error.strerror}", good=False)
    free = shutil.disk_usage(there).free // 1_000_000
    return Finding(subject, f"{folder} can be written, {free} MB free", good=free > 50)
