"""Files of a package that are spooled: kept on the disk until their turn comes, gone when the block ends."""

from __future__ import annotations

import gzip
import shutil
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from typing import IO

from app.exports.tidy.column import Table
from app.exports.tidy.csv_text import CsvText
from app.exports.tidy.rows import KeptFigures, Row
from app.exports.tidy.tables import Once
from app.exports.workbook import Local, PracticalsWorkbook
from app.records.errors import StorageProblem
from app.records.whole import WholePractical
from app.words import N_, Say

PIECE_BYTES = 64 * 1024
LEVEL = 1
"""How hard zlib tries: what is spooled is read once."""
LEAST_FREE = 4 * 1024**2
"""Bytes: an export of one class takes far less, one of thousands more (our own choice)."""


class NoRoomToSpool(StorageProblem):
    """The folder for temporary files is full or cannot be written to."""

    sentence = N_(
        "The server's disk cannot take the files of an export, so nothing was sent."
        " Check its free space, then try again."
    )


def require_room() -> None:
    """Asked before a package begins, while its reader can still be told. Raises `NoRoomToSpool`."""
    try:
        tempfile.TemporaryFile().close()
        free = shutil.disk_usage(tempfile.gettempdir()).free
    except OSError as error:
        raise NoRoomToSpool() from error
    if free < LEAST_FREE:
        raise NoRoomToSpool()


class _Spooled(ExitStack):
    """A temporary file, and what else is to be closed when the block ends."""

    def __init__(self) -> None:
        super().__init__()
        self._file: IO[bytes] = self.enter_context(tempfile.TemporaryFile())  # noqa: SIM115


class SpooledTable(_Spooled):
    """A table as CSV, compressed."""

    def __init__(self, table: Table) -> None:
        super().__init__()
        self.table = table
        self._text, self._once = CsvText(table), Once(table)
        self._packed = gzip.GzipFile(fileobj=self._file, mode="wb", compresslevel=LEVEL)
        self.callback(self._packed.close)
        self._packed.write(self._text.heading())

    def add(self, rows: Iterable[Row]) -> None:
        """Write these rows."""
        self._packed.write(self._text.rows(self._once(rows)))

    def pieces(self) -> Iterator[bytes]:
        """The whole of it, from its beginning."""
        self._packed.close()
        self._file.seek(0)
        with gzip.GzipFile(fileobj=self._file, mode="rb") as packed:
            yield from iter(lambda: packed.read(PIECE_BYTES), b"")


class SpooledWorkbook(_Spooled):
    """A workbook; the library keeps its sheets in files of its own until it is finished."""

    def __init__(self, say: Say, local: Local) -> None:
        super().__init__()
        folder = self.enter_context(tempfile.TemporaryDirectory())
        self._book = PracticalsWorkbook(self._file, say, local, folder)
        self.callback(self._book.discard)

    def add(self, whole: WholePractical, kept: KeptFigures | None) -> None:
        """Write a practical's rows."""
        self._book.add(whole, kept)

    def pieces(self) -> Iterator[bytes]:
        """The whole of it, from its beginning."""
        self._book.finish()
        self._file.seek(0)
        yield from iter(lambda: self._file.read(PIECE_BYTES), b"")
