"""A backup in the place of the records: looked at first, prepared beside them, then exchanged in one step.

The copy that is going to be the records is made, checked and brought up to date under a name of its own, so
that whatever is wrong with a backup is found while the records are as they were. They stay beside as a dated
copy.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from app.private import make_private_folder
from app.records.backup import end_sign_ins
from app.records.engine import Database
from app.records.errors import StorageProblem
from app.records.migrate import upgrade
from app.records.revisions import is_known, newest_revision
from app.records.whole_file import (
    BESIDE,
    SHORTER,
    begin_private,
    check_file,
    force_folder_to_disk,
    force_to_disk,
    free_name,
    is_cut_short,
    is_sqlite,
    opened_read_only,
    remove,
    stamp,
)
from app.words import N_

OURS = {"department", "teacher", "practical", "run"}
"""Tables of every version."""


class NoBackup(StorageProblem):
    """The file is not there, or cannot be read."""

    sentence = N_("%(file)s cannot be read (%(why)s), and nothing was changed. Check the name.")


class NotOurs(StorageProblem):
    """Another kind of file."""

    sentence = N_(
        "%(file)s is not a backup of Plumbfall's records, and nothing was changed."
        " Choose a file that plumbfall backup made."
    )


class DamagedBackup(StorageProblem):
    """Cut short, or with wrong content."""

    sentence = N_(
        "%(file)s is not whole (%(why)s), and nothing was changed. Use another backup, and keep this file"
        " until you have found one."
    )


class NewerBackup(StorageProblem):
    """Its tables are of a version that this program does not know."""

    sentence = N_(
        "%(file)s was made by a newer version of Plumbfall (its tables are at %(found)s, this version knows"
        " them up to %(known)s), and nothing was changed. Install that version, then restore."
    )


class RestoreFailed(StorageProblem):
    """The disk or the operating system refused."""

    sentence = N_("The backup could not be put in the place of the records: %(why)s. They are as they were.")


class OthersRecords(StorageProblem):
    """A file of this user's in place of another user's would shut that one out."""

    sentence = N_(
        "The records in %(file)s belong to another user of this machine, and nothing was changed."
        " Run this as the user who starts the server."
    )


class NotInSQLite(StorageProblem):
    """PostgreSQL has its own tools."""

    sentence = N_(
        "These records are kept in PostgreSQL: restore a dump with its own pg_restore, into an empty"
        " database. A backup of SQLite records goes there with"
        " DATABASE_URL=sqlite:///%(file)s plumbfall move --to ADDRESS."
    )


def look_at(file: Path) -> str:
    """The revision of a whole backup of ours. Raises what is wrong with it; nothing is changed."""
    try:
        if not is_sqlite(file):
            raise NotOurs(file=file)
        if is_cut_short(file):
            raise DamagedBackup(file=file, why=SHORTER)
        with closing(opened_read_only(file)) as backup:
            return _looked_at(file, backup)
    except OSError as error:
        raise NoBackup(file=file, why=error.strerror or str(error)) from error
    except sqlite3.Error as error:
        raise DamagedBackup(file=file, why=error) from error


def _looked_at(file: Path, backup: sqlite3.Connection) -> str:
    tables = {name for (name,) in backup.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if not tables >= OURS | {"alembic_version"}:
        raise NotOurs(file=file)
    revision = backup.execute("SELECT version_num FROM alembic_version").fetchone()
    if revision is None:
        raise NotOurs(file=file)
    if not is_known(revision[0]):
        raise NewerBackup(file=file, found=str(revision[0])[:40], known=newest_revision())
    if (found := backup.execute("PRAGMA integrity_check(1)").fetchone()[0]) != "ok":
        raise DamagedBackup(file=file, why=str(found).replace("\n", " ")[:200])
    if (broken := backup.execute("PRAGMA foreign_key_check").fetchone()) is not None:
        why = f"a row of {broken[0]} points at one of {broken[2]} that is missing"
        raise DamagedBackup(file=file, why=why)
    return str(revision[0])


@contextmanager
def prepared(file: Path, records: Path) -> Iterator[Database]:
    """The backup's content as the records will hold it, still under a name of its own, up to date, without
    sign-ins. It is gone when the block ends, unless it was put in place."""
    ready = records.with_name(f".{records.name}.restored")
    try:
        make_private_folder(records.parent)
        begin_private(ready)
        with closing(opened_read_only(file)) as backup, closing(sqlite3.connect(ready)) as copy:
            backup.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
            end_sign_ins(copy)
        database = Database(f"sqlite:///{ready}")
        try:
            upgrade(database)
            yield database
        finally:
            database.close()
    except (OSError, sqlite3.Error) as error:
        raise RestoreFailed(why=error) from error
    finally:
        remove(ready)


def put_in_place(ready: Database, records: Path, now: datetime) -> Path | None:
    """Exchange them; where the records stay as a dated copy, or None where there were none."""
    if ready.path is None:
        raise NotInSQLite(file="FILE")
    ready.close()
    with closing(sqlite3.connect(ready.path)) as copy:
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, complete in itself
    if (found := check_file(ready.path)) != "ok":
        raise RestoreFailed(why=found)
    force_to_disk(ready.path)
    kept = None
    if records.exists():
        if is_sqlite(records) and not is_cut_short(records):  # else SQLite would only spoil it further
            _settle(records)
        kept = free_name(records.with_name(f"{records.stem}-replaced-{stamp(now)}.db"))
        try:
            os.link(records, kept)
        except OSError:  # a file system without links
            shutil.copy2(records, kept)
            force_to_disk(kept)
    for ending in BESIDE:  # what a damaged file could not take in; beside another file it would do harm
        beside = records.with_name(records.name + ending)
        if beside.exists() and kept is not None:
            beside.replace(kept.with_name(kept.name + ending))
        else:
            beside.unlink(missing_ok=True)
    ready.path.replace(records)
    force_folder_to_disk(records.parent)
    return kept


def refuse_others_records(records: Path) -> None:
    """Raises `OthersRecords` where the file, or the folder that it would be made in, is another user's."""
    if os.name == "nt":
        return
    for place in (records, records.parent):
        if place.exists():
            if place.stat().st_uid != os.geteuid():
                raise OthersRecords(file=records)
            return


def _settle(records: Path) -> None:
    """Everything that waits beside the file goes into it, if it is whole enough for that."""
    try:
        with closing(sqlite3.connect(records, isolation_level=None)) as there:
            there.execute("BEGIN EXCLUSIVE")
            there.execute("COMMIT")
            there.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise  # a command of ours, or another program
