"""A safe copy of the SQLite database while it is in use.

SQLite's online backup interface copies a consistent moment; the copy is checked, forced to the disk, and
only then renamed into place, so that a file of the backup's name is always whole. PostgreSQL has its own
tools for this (`pg_dump`), which are better than anything here.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from app.private import open_private
from app.records.engine import Database
from app.records.errors import StorageProblem
from app.records.whole_file import check_file, force_folder_to_disk, force_to_disk
from app.words import N_, Message

PAGES_AT_A_TIME = 256


class BackupProblem(StorageProblem):
    """No backup was made; an earlier one of the same name is as it was."""


@dataclass(frozen=True)
class Backup:
    """A whole and checked copy."""

    path: Path
    size_bytes: int


def back_up(database: Database, target: Path) -> Backup:
    """Copy the records to `target`. Raises `BackupProblem` and leaves nothing half-made."""
    if database.path is None:
        raise BackupProblem(
            Message(N_("These records are kept in PostgreSQL: back them up with its own pg_dump command."))
        )
    if not database.path.exists():
        raise BackupProblem(
            Message(
                N_(
                    "There are no records in %(file)s, so nothing was backed up."
                    " Run this as the user who starts the server, or set PLUMBFALL_DATA to its folder."
                ),
                {"file": str(database.path.absolute())},
            )
        )
    if target.resolve() == database.path.resolve():
        raise BackupProblem(
            Message(N_("A backup cannot take the place of the records. Choose another file."))
        )
    half_made = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        # Not a private one: who keeps the backups may be somebody else. The file itself is private.
        target.parent.mkdir(parents=True, exist_ok=True)
        os.close(open_private(half_made, os.O_CREAT | os.O_WRONLY | os.O_TRUNC))
        _copy(database.path, half_made)
        force_to_disk(half_made)
        half_made.replace(target)
        force_folder_to_disk(target.parent)
    except (OSError, sqlite3.Error) as error:
        raise BackupProblem(
            Message(N_("The backup could not be made: %(why)s."), {"why": str(error)})
        ) from error
    finally:
        with suppress(OSError):  # where nothing can be written nothing can be removed, and nothing is there
            half_made.unlink(missing_ok=True)
    return Backup(target, target.stat().st_size)


def _copy(source: Path, target: Path) -> None:
    with (
        closing(sqlite3.connect(source, timeout=30)) as original,
        closing(sqlite3.connect(target)) as copy,
    ):
        original.backup(copy, pages=PAGES_AT_A_TIME, sleep=0.02)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, complete in itself
        end_sign_ins(copy)
    found = check_file(target)
    if found != "ok":
        raise sqlite3.DatabaseError(found)


def end_sign_ins(copy: sqlite3.Connection) -> None:
    """Whoever goes back to this copy, wherever that is, finds nobody signed in and no browser known."""
    tables = {name for (name,) in copy.execute("SELECT name FROM sqlite_master")}  # older ones have fewer
    now = datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S.%f")
    with copy:
        if "teacher_session" in tables:
            copy.execute("UPDATE teacher_session SET ended_at = ? WHERE ended_at IS NULL", (now,))
        if "known_browser" in tables:
            copy.execute("DELETE FROM known_browser")
