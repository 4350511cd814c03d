"""Tables as comma-separated text, guarded where a spreadsheet could take a cell for a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from functools import lru_cache

from app.exports.cells import safe_text
from app.exports.tidy.column import Kind, Table
from app.exports.tidy.rows import Row

MARK = "\ufeff"
"""The byte order mark by which a spreadsheet knows that a file is UTF-8."""
PIECE_ROWS = 500
AS_TYPED = "_typed"
"""The end of the names of columns whose texts keep their spaces."""


def csv_pieces(table: Table, rows: Iterable[Row]) -> Iterator[bytes]:
    """The table as UTF-8 in pieces, its heading first."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    texts = [at for at, column in enumerate(table.columns) if column.kind is Kind.TEXT]
    as_typed = {at for at in texts if table.columns[at].name.endswith(AS_TYPED)}
    plain = [at for at in texts if at not in as_typed]
    out.write(MARK)
    writer.writerow(table.names)
    for number, row in enumerate(rows, 1):
        cells = list(row)
        for at in plain:
            if cells[at]:
                cells[at] = one_line(str(cells[at]))
        for at in as_typed:
            if cells[at]:
                cells[at] = guarded(str(cells[at]))
        writer.writerow(cells)
        if number % PIECE_ROWS == 0:
            yield out.getvalue().encode()
            out.seek(0)
            out.truncate()
    yield out.getvalue().encode()


@lru_cache(50_000)
def guarded(text: str) -> str:
    """The text as it is, but for an apostrophe where a formula could begin."""
    return safe_text(text)


@lru_cache(50_000)
def one_line(text: str) -> str:
    """The same on one line."""
    return safe_text(" ".join(text.split()))
