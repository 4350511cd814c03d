"""Tables as comma-separated text, guarded where a spreadsheet could take a cell for a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from app.exports.cells import safe_text
from app.exports.tidy.column import Kind, Table
from app.exports.tidy.rows import Row

MARK = "\ufeff"
"""The byte order mark by which a spreadsheet knows that a file is UTF-8."""
AS_TYPED = "_typed"
"""The end of the names of columns whose texts keep their spaces."""


class CsvText:
    """A table as it is written: its heading, then rows as they come, each call's bytes for itself."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self._out = io.StringIO(newline="")
        self._writer = csv.writer(self._out, lineterminator="\r\n")
        self._texts = [
            (at, guarded if column.name.endswith(AS_TYPED) else one_line)
            for at, column in enumerate(table.columns)
            if column.kind is Kind.TEXT
        ]

    def heading(self) -> bytes:
        """The mark of UTF-8 and the names of the columns."""
        self._writer.writerow(self.table.names)
        return MARK.encode() + self._taken()

    def rows(self, rows: Iterable[Row]) -> bytes:
        """These rows; none for no row."""
        for row in rows:
            cells: list[Any] = [*row]
            for at, made_safe in self._texts:
                text = cells[at]
                if text and not text.isalnum():  # a single word of letters and digits begins no formula
                    cells[at] = made_safe(text)
            self._writer.writerow(cells)
        return self._taken()

    def _taken(self) -> bytes:
        text = self._out.getvalue()
        self._out.seek(0)
        self._out.truncate()
        return text.encode()


@lru_cache(50_000)
def guarded(text: str) -> str:
    """The text as it is, but for an apostrophe where a formula could begin."""
    return safe_text(text)


@lru_cache(50_000)
def one_line(text: str) -> str:
    """The same on one line."""
    return safe_text(" ".join(text.split()))
