"""How SQLite is asked to keep things: on the disk before it says so, with rules enforced.

SQLite 3.7.0 to 3.51.2 can lose committed pages when a write-ahead log is reset at the wrong moment
(fixed in 3.51.3, 3.50.7 and 3.44.6; https://sqlite.org/wal.html, "WAL-reset bug"), so an affected
library keeps a rollback journal.
"""

from __future__ import annotations

import sqlite3

BUSY_TIMEOUT_MS = 5000


def wal_is_safe(version: tuple[int, int, int]) -> bool:
    """Whether this SQLite library resets a write-ahead log without losing committed pages."""
    if version >= (3, 51, 3):
        return True
    if version[:2] == (3, 50):
        return version >= (3, 50, 7)
    if version[:2] == (3, 44):
        return version >= (3, 44, 6)
    return version < (3, 7, 0)  # before write-ahead logs: a rollback journal is all there is


def journal_mode(version: tuple[int, int, int]) -> str:
    """The journal mode for this library: `wal` where that is safe, else `delete` (a rollback journal)."""
    return "wal" if version >= (3, 7, 0) and wal_is_safe(version) else "delete"


def prepare(connection: sqlite3.Connection, *, foreign_keys: bool = True) -> None:
    """Set one new connection up; SQLAlchemy's `begin` event then says when a transaction starts."""
    connection.isolation_level = None  # the driver opens no transaction of its own
    cursor = connection.cursor()
    try:
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
        wanted = journal_mode(sqlite3.sqlite_version_info[:3])
        current = cursor.execute("PRAGMA journal_mode").fetchone()[0].lower()
        if current != wanted:
            cursor.execute(f"PRAGMA journal_mode = {wanted}").fetchone()
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA secure_delete = ON").fetchone()  # what is deleted is overwritten too
        cursor.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")
    finally:
        cursor.close()
