"""The text of a run table: decoded, parted into fields, and each field found by the name of its column.

UTF-8 (with or without a byte order mark), a header row, fields parted by `,` or `;` or a tab. Columns come in
any order, unknown ones are passed over. What a field says is not read here.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.exports.file_problem import FileProblem
from app.words import N_

_WORKBOOK = b"PK\x03\x04"
"""How a workbook's file begins: it is a ZIP archive (PKWARE's APPNOTE, 4.3.7, local file header)."""


class RunTableProblem(FileProblem):
    """The text cannot be read as a run table. `row` counts from 1 at the header; `column` is its name."""

    def __init__(
        self, template: str, *, row: int | None = None, column: str | None = None, **values: str
    ) -> None:
        super().__init__(template, row=str(row), column=str(column), **values)
        self.row = row
        self.column = column


@dataclass(frozen=True)
class TextRow:
    """One row as text. `number` counts the lines of the file, `ends_early`: it lacks fields of the header.

    `comma`: the fields are not parted at commas, so that one may be a decimal mark.
    """

    number: int
    cells: Sequence[str]
    where: Mapping[str, int]
    ends_early: bool
    comma: bool

    def text(self, column: str) -> str:
        """What stands in a column; empty where the table has none of that name."""
        at = self.where.get(column)
        return self.cells[at].strip() if at is not None and at < len(self.cells) else ""

    def problem(self, column: str, template: str, **values: str) -> RunTableProblem:
        """What is wrong with a column of this row."""
        return RunTableProblem(template, row=self.number, column=column, **values)


def text_rows(source: str | bytes, columns: Sequence[str], needed: Sequence[str]) -> Iterator[TextRow]:
    """The rows below the header, by the names in `columns`. Raises `RunTableProblem`, at the row at fault."""
    text = _decoded(source) if isinstance(source, bytes) else source.removeprefix("\ufeff")
    if not text.strip():
        raise RunTableProblem(N_("The table is empty: a header row and at least one run are needed."))
    delimiter = delimiter_of(text)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    where: dict[str, int] | None = None
    width, found = 0, False
    try:
        for cells in rows:
            if not any(cell.strip() for cell in cells):
                continue
            if where is None:
                where, width = _header(cells, columns, needed), len(cells)
                continue
            found = True
            if len(cells) > width and any(cell.strip() for cell in cells[width:]):
                raise _too_wide(rows.line_num, len(cells), width)
            yield TextRow(rows.line_num, cells, where, len(cells) < width, delimiter != ",")
    except csv.Error as error:
        sentence = N_("Row %(row)s cannot be read as a table row (%(why)s).")
        raise RunTableProblem(sentence, row=rows.line_num, why=str(error)) from error
    if not found:
        raise RunTableProblem(N_("The table has a header and no runs below it."), row=1)


def delimiter_of(text: str) -> str:
    """What parts the fields of a table: the comma, semicolon or tab that its first line has most of."""
    return max(",;\t", key=text.lstrip("\r\n").partition("\n")[0].count)


def _decoded(data: bytes) -> str:
    """UTF-8 text, or a problem that names the row of the first byte that is not."""
    if data.startswith(_WORKBOOK):
        raise RunTableProblem(N_("This is a workbook, not a table as text. Save it as CSV and try again."))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RunTableProblem(
            N_("Row %(row)s is not UTF-8 text (byte 0x%(byte)s). Save the table as UTF-8 and try again."),
            row=data.count(b"\n", 0, error.start) + 1,
            byte=f"{data[error.start]:02X}",
        ) from error


def _header(cells: list[str], columns: Sequence[str], needed: Sequence[str]) -> dict[str, int]:
    """Position of each known column."""
    lowered = [cell.strip().lower() for cell in cells]
    where: dict[str, int] = {}
    for column in columns:
        count = lowered.count(column.lower())
        if count > 1:
            raise RunTableProblem(N_("The header names the column %(column)s twice."), row=1, column=column)
        if count:
            where[column] = lowered.index(column.lower())
    missing = [column for column in needed if column not in where]
    if missing:
        raise RunTableProblem(
            N_("The header (row 1) has no column %(missing)s. Needed: %(needed)s."),
            row=1,
            column=missing[0],
            missing=", ".join(missing),
            needed=", ".join(needed),
        )
    return where


def _too_wide(row: int, found: int, width: int) -> RunTableProblem:
    return RunTableProblem(
        N_(
            "Row %(row)s is not as wide as the header (fields: %(found)s, header: %(width)s). "
            "With a decimal comma, part the fields with ; or a tab."
        ),
        row=row,
        found=str(found),
        width=str(width),
    )
