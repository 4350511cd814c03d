"""What stands in a cell of a table that leaves the tool: exact numbers, text that is no formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import overload

from app.physics.rounding import shortest

Cell = str | int | Decimal | None
"""What stands in one cell. Decimals are written digit for digit."""

NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,4})?")
# What a spreadsheet takes for a formula where a cell begins with it (OWASP, "CSV Injection"), also behind
# spaces and quotes. A cell begins at the text's own beginning and, where the table is parted at semicolons or
# tabs instead of commas, behind each of these; quotes around the whole text do not keep it together then.
_BEGINS = r"(?=[\s\"']*[=+\-@＝＋－＠\t\r\n])"
_UNGUARDED = re.compile(rf"(\A|[;\t\r\n]){_BEGINS}")
_GUARDED = re.compile(rf"(\A|[;\t\r\n])'{_BEGINS}")


def safe_text(text: str) -> str:
    """Text that no spreadsheet takes for a formula, whether it parts the table at commas, semicolons or tabs.

    An apostrophe goes in wherever a formula could begin; `original_text` takes it out again. A number stays
    as it is.
    """
    return text if NUMBER.fullmatch(text) else _UNGUARDED.sub(r"\1'", text)


def original_text(text: str) -> str:
    """The text as it was before `safe_text`."""
    return _GUARDED.sub(r"\1", text)


def csv_text(columns: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> str:
    """The columns of these rows under their names, as comma-separated text with a decimal point."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for cells in rows:
        writer.writerow([_text(cells[column]) for column in columns])
    return out.getvalue()


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return shortest(cell)
    return str(cell) if isinstance(cell, int) else safe_text(cell)


@overload
def shifted(value: float, shift: int) -> Decimal: ...
@overload
def shifted(value: float | None, shift: int) -> Decimal | None: ...
def shifted(value: float | None, shift: int) -> Decimal | None:
    """A reading times 10^shift, exactly: the decimal that was typed, not the binary number nearest to it."""
    return None if value is None else Decimal(repr(float(value))).scaleb(shift)
