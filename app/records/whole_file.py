"""SQLite's files: opened for reading alone, checked, begun, removed, forced to the disk."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from app.private import open_private
from app.words import N_

_FIRST_BYTES = b"SQLite format 3\x00"
"""And the places of the header below: sqlite.org/fileformat2.html, "The Database Header"."""

BESIDE = ("-wal", "-shm", "-journal")
"""What SQLite may keep beside a file; it belongs to that very file."""
SHORTER = N_("it is shorter than it says, so that its end is missing")


def opened_read_only(path: Path) -> sqlite3.Connection:
    """The file as it lies there; where nothing waits beside it, not even a lock is put on it."""
    waits = any(path.with_name(path.name + ending).exists() for ending in ("-wal", "-journal"))
    how = "mode=ro" if waits else "mode=ro&immutable=1"
    return sqlite3.connect(f"{path.absolute().as_uri()}?{how}", uri=True, isolation_level=None)


def check_file(path: Path) -> str:
    """SQLite's own integrity check of a file: "ok", or what it found first."""
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as connection:
        return str(connection.execute("PRAGMA integrity_check(1)").fetchone()[0])


def is_sqlite(path: Path) -> bool:
    """Whether the file begins as every SQLite file does."""
    with path.open("rb") as file:
        return file.read(len(_FIRST_BYTES)) == _FIRST_BYTES


def is_cut_short(path: Path) -> bool:
    """Whether the file has fewer pages than its header says."""
    with path.open("rb") as file:
        header = file.read(100)
    page_bytes = int.from_bytes(header[16:18], "big")
    pages = int.from_bytes(header[28:32], "big")
    known = header[24:28] == header[92:96]  # else an old library wrote it last, and the number may be wrong
    return known and path.stat().st_size < pages * (65536 if page_bytes == 1 else page_bytes)


def stamp(now: datetime) -> str:
    """A moment (UTC) as it stands in a file's name, to be sorted by."""
    return f"{now:%Y%m%dT%H%M%SZ}"


def free_name(path: Path) -> Path:
    """This name, or where a file has it already the next one with a number."""
    number, name = 1, path
    while name.exists():
        number += 1
        name = path.with_stem(f"{path.stem}-{number}")
    return name


def begin_private(path: Path) -> None:
    """An empty file, readable by its owner only, in place of what a killed command left under this name."""
    remove(path)
    os.close(open_private(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY))


def remove(path: Path) -> None:
    """Remove the file, if it is there, with what SQLite keeps beside it."""
    for ending in ("", *BESIDE):
        path.with_name(path.name + ending).unlink(missing_ok=True)


def force_to_disk(path: Path) -> None:
    """Wait until the file's content is on the disk."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def force_folder_to_disk(folder: Path) -> None:
    """Wait until the names in the folder are on the disk."""
    if os.name == "nt":
        return  # Windows keeps no handle on a folder; the rename itself is journalled there
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
