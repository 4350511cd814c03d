"""What an installation's records stand on, said in lines that a technician can read out on the phone."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from pathlib import Path

import psycopg
from sqlalchemy import select
from sqlalchemy import text as sql

from app.records import privacy
from app.records.engine import Database
from app.records.errors import Problem
from app.records.finding import Finding
from app.records.migrate import MadeByAnotherVersion, current_revision_of_tables, is_known, newest_revision
from app.records.models import Department, Teacher
from app.records.sqlite_settings import journal_mode, wal_is_safe


def examine(
    address: str, data_folder: Path, *, key_file: Path | None = None, backups: Path | None = None
) -> list[Finding]:
    """Look at the database, the folders and who can read them; nothing is changed, no problem is raised."""
    findings = [_folder("data folder", data_folder)]
    if key_file is not None and key_file.exists():
        findings.append(privacy.finding("signing key", [key_file]))
    if backups is not None:
        findings.append(privacy.finding("backups", privacy.files_in(backups)))
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
        tables, as_wanted = _tables(database)
        findings.append(tables)
        if as_wanted:
            findings.append(_heads(database))
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
    lines.append(privacy.finding("privacy of records", privacy.records_beside(path)))
    mode = _ask(database, "PRAGMA journal_mode")
    lines.append(Finding("journal mode", mode, good=mode == journal_mode(version)))
    synchronous = _ask(database, "PRAGMA synchronous")
    lines.append(Finding("synchronous", "full" if synchronous == "2" else synchronous, synchronous == "2"))
    whole = _ask(database, "PRAGMA quick_check")
    lines.append(Finding("file check", whole, good=whole == "ok"))
    return lines


def _tables(database: Database) -> tuple[Finding, bool]:
    """The line about the tables, and whether they are as this program wants them."""
    wanted = newest_revision()
    there = database.path is None or database.path.exists()
    found = current_revision_of_tables(database) if there else None
    if found is None:
        return Finding("tables", f"not there yet; they are made at the first start ({wanted})"), False
    if not is_known(found):
        text = f"at {found}, wanted {wanted}: {MadeByAnotherVersion()}"
        return Finding("tables", text, good=False), False
    if found != wanted:
        text = f"at {found}, wanted {wanted}; starting the program brings them up to date"
        return Finding("tables", text), False
    return Finding("tables", f"up to date ({found})"), True


def _heads(database: Database) -> Finding:
    """Departments whose teachers nobody can look after in the browser."""
    headed = select(Teacher.department_id).where(Teacher.is_head, Teacher.is_active)
    with database.reading() as session:
        names = list(session.scalars(select(Department.name).where(Department.id.not_in(headed))))
    if not names:
        return Finding("heads of department", "every department has one who can sign in")
    text = f"none who can sign in for: {', '.join(sorted(names))}; plumbfall set-head makes one"
    return Finding("heads of department", text, good=False)


def _ask(database: Database, question: str) -> str:
    with database.reading() as session:
        return str(session.execute(sql(question)).scalar())


def _folder(subject: str, folder: Path) -> Finding:
    there = next((place for place in (folder, *folder.parents) if place.exists()), folder)
    try:
        with tempfile.TemporaryFile(dir=there):
            pass
    except OSError as error:
        return Finding(subject, f"{folder} cannot be written: {error.strerror}", good=False)
    free = shutil.disk_usage(there).free // 1_000_000
    return Finding(subject, f"{folder} can be written, {free} MB free", good=free > 50)
