"""What an installation's records stand on, said in lines that a technician can read out on the phone."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import tempfile
from collections.abc import Iterable
from pathlib import Path

import psycopg
from sqlalchemy import select
from sqlalchemy import text as sql

from app.records.choices import Role
from app.records.engine import Database, journal_mode, wal_is_safe
from app.records.errors import DatabaseNotReady, Problem
from app.records.finding import Finding
from app.records.last_known import can_sign_in_again, count_of, logins_on_and_off, read_last_known
from app.records.migrate import MadeByAnotherVersion
from app.records.models import Department, Teacher
from app.records.revisions import current_revision_of_tables, is_known, newest_revision
from app.records.running import CannotBeLocked, who_is_serving

# Reading a file takes its own read bit and the search bit of its folder, of the group or of the others.
_GROUP, _OTHERS = (stat.S_IRGRP, stat.S_IXGRP), (stat.S_IROTH, stat.S_IXOTH)


def examine(
    address: str, data_folder: Path, *, key_file: Path | None = None, backups: Path | None = None
) -> list[Finding]:
    """Look at the database, the folders and who can read them; nothing is changed, no problem is raised."""
    findings = [_folder("data folder", data_folder)]
    if key_file is not None and key_file.exists():
        findings.append(_privacy("signing key", [key_file]))
    if backups is not None:
        findings.append(_privacy("backups", _files_in(backups)))
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
        findings.append(_server(database))
        if as_wanted:
            findings.append(_heads(database))
    except Problem as problem:
        findings.append(Finding("database", str(problem), good=False))
    finally:
        database.close()
    return findings


def findings_about_access(address: str, last_known: Path | None) -> list[Finding]:
    """The doctor's lines about records that went back to a backup. Nothing is changed, no problem raised."""
    known = read_last_known(last_known) if last_known is not None else None
    if known is None:
        return []
    try:
        database = Database(address, last_known)
    except Problem:
        return []  # said by the doctor already
    try:
        older = _count_there(database) < known.number
        with database.reading() as session:
            active, _off = logins_on_and_off(session)
    except Problem:
        return []
    finally:
        database.close()
    named = (*known.revived, *(known.switched_off if older else ()))
    revived = tuple(login for login in dict.fromkeys(named) if login in active)
    age = "older than this server knew; every sign-in ends at the next start"
    lines = [Finding("age of the records", age if older else "as this server knew", good=not older)]
    return [*lines, Finding("teachers", can_sign_in_again(revived), good=False)] if revived else lines


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
    lines.append(_privacy("privacy of records", _records_beside(path)))
    lines += _copies_beside(path)
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


def _server(database: Database) -> Finding:
    """Whether one runs on these records, on this machine or another."""
    if database.path is not None and not database.path.exists():
        return Finding("server", "not running")
    try:
        who = who_is_serving(database)
    except CannotBeLocked as problem:
        return Finding("server", str(problem), good=False)
    return Finding("server", f"running: {who}" if who else "not running")


def _heads(database: Database) -> Finding:
    """Departments whose teachers nobody can look after in the browser."""
    headed = select(Teacher.department_id).where(Teacher.role == Role.HEAD, Teacher.is_active)
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


def _privacy(subject: str, files: Iterable[Path]) -> Finding:
    """Good where only their owner can read these files; else it names them and says what to do."""
    if os.name == "nt":
        return Finding(subject, "who can read them is not known on Windows: look at the folder's permissions")
    looked = sorted(files)
    open_to_others = [path for path in looked if _readable_by_others(path)]
    if open_to_others:
        names = ", ".join(str(path) for path in open_to_others)
        text = f"can be read by others on this machine: {names}; take that away with chmod go-rwx"
        return Finding(subject, text, good=False)
    return Finding(subject, "only their owner can read them" if looked else "none there")


def _readable_by_others(path: Path) -> bool:
    """Whether the file's group or everybody may read it and search its folder."""
    file, folder = path.stat().st_mode, path.parent.stat().st_mode
    return any(file & read and folder & search for read, search in (_GROUP, _OTHERS))


def _records_beside(path: Path) -> list[Path]:
    """The database's file, what SQLite keeps beside it, and copies of it in the same folder."""
    names = (path, *path.parent.glob(f"{path.name}-*"), *path.parent.glob("*.db"))
    return [name for name in dict.fromkeys(names) if name.is_file()]


def _copies_beside(path: Path) -> list[Finding]:
    """What restores and upgrades left there, where deleted practicals live on."""
    kinds = ("replaced", "before-upgrade")
    copies = sorted(copy.name for kind in kinds for copy in path.parent.glob(f"{path.stem}-{kind}-*.db"))
    if not copies:
        return []
    told = "they hold what was deleted since; delete those that you no longer need"
    return [Finding("copies beside them", f"{', '.join(copies)}: {told}")]


def _files_in(folder: Path) -> list[Path]:
    """Every file in the folder and below it."""
    return [path for path in folder.rglob("*") if path.is_file()]


def _count_there(database: Database) -> int:
    """The count in the records; 0 where they are from before there was one."""
    try:
        with database.reading() as session:
            return count_of(session)
    except DatabaseNotReady:
        return 0
