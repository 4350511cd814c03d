"""Practicals as a workbook: a sheet for each tidy table, and one that says what each column means.

Rows go to the disk as they come, so that a workbook of many practicals takes no more memory than one of few.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from functools import lru_cache
from typing import IO, Any

from app.exports.cells import safe_text
from app.exports.tidy.column import UCUM, Column, Kind, Table
from app.exports.tidy.rows import KeptFigures, Row
from app.exports.tidy.tables import TABLES, Once, rows_of
from app.records.whole import WholePractical
from app.words import N_, Message, Say

Local = Callable[[datetime], datetime]

SHEETS = {
    "runs": Message(N_("Runs")),
    "benches": Message(N_("Benches")),
    "results": Message(N_("Class results")),
    "decisions": Message(N_("Decisions")),
    "kit": Message(N_("Kit")),
    "practicals": Message(N_("Practicals")),
}
DICTIONARY = Message(N_("Data dictionary"))
DICTIONARY_HEAD = (
    Message(N_("Sheet")),
    Message(N_("Column")),
    Message(N_("Meaning")),
    Message(N_("Unit")),
    Message(N_("Unit, in UCUM")),
    Message(N_("Source")),
)
MOST_ROWS = 1_048_576
"""Of a sheet, its heading among them (ECMA-376, "SpreadsheetML": the rows that Excel has)."""
_WIDTH, _WIDE, _OF_MOMENTS = 14, 40, 19


class PracticalsWorkbook:
    """A workbook while it is written. `finish` puts it into the file that was given.

    `say` puts a name into the reader's language, `local` a moment on the school's clock: a cell has no zone.
    Text is never taken for a formula, and there is no NaN. The sheets wait in `folder`, or where the system
    has its temporary files.
    """

    def __init__(self, file: IO[bytes], say: Say, local: Local, folder: str | None = None) -> None:
        import xlsxwriter  # noqa: PLC0415 - only who asks for a workbook needs it

        options = {
            "constant_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "tmpdir": folder,
        }
        self.say = say
        self.book = xlsxwriter.Workbook(file, options)
        self.writer = _Writer(self.book, local)
        self.sheets = {table.name: _Sheet(self, table) for table in TABLES}

    def add(self, whole: WholePractical, kept: KeptFigures | None, *, rehearsal: bool = False) -> None:
        """Write a practical's rows."""
        for table in TABLES:
            self.sheets[table.name].write(rows_of(table, whole, kept, rehearsal=rehearsal))

    def finish(self) -> None:
        """Write the data dictionary and close the workbook."""
        sheet = self.book.add_worksheet(self.say(DICTIONARY))
        for at, width in enumerate((16, 36, 70, 12, 14, 20)):
            sheet.set_column(at, at, width)
        sheet.freeze_panes(1, 0)
        self.writer.heading_row(sheet, [self.say(name) for name in DICTIONARY_HEAD])
        row = 0
        for table in TABLES:
            for column in table.columns:
                row += 1
                unit = column.unit
                texts = (self.say(SHEETS[table.name]), column.name, self.say(column.what), unit)
                for at, text in enumerate((*texts, UCUM.get(unit, ""), column.source)):
                    self.writer.text(sheet, row, at, text)
        self.book.close()

    def discard(self) -> None:
        """Give it up: close what the library still holds open."""
        for sheet in self.book.worksheets():
            sheet.row_data_fh.close()


class _Sheet:
    """One table's sheet, and a further one where it is full."""

    def __init__(self, workbook: PracticalsWorkbook, table: Table) -> None:
        self.workbook, self.table = workbook, table
        self.count, self.row = 0, MOST_ROWS
        self.sheet: Any = None
        self._once = Once(table)
        self._next()

    def write(self, rows: Any) -> None:
        for row in self._once(rows):
            if self.row >= MOST_ROWS:
                self._next()
            self.workbook.writer.row(self.sheet, self.row, row, self.table.columns)
            self.row += 1

    def _next(self) -> None:
        self.count, self.row = self.count + 1, 1
        name = self.workbook.say(SHEETS[self.table.name])
        self.sheet = self.workbook.book.add_worksheet(name if self.count == 1 else f"{name} {self.count}")
        for at, column in enumerate(self.table.columns):
            self.sheet.set_column(at, at, _width(column))
        self.sheet.freeze_panes(1, 2 if self.table.columns[0].name == "bench" else 0)
        self.workbook.writer.heading_row(self.sheet, self.table.names)


def _width(column: Column) -> int:
    if column.name in ("practical_key", "run_key", "bench_key", "title", "accepted_source"):
        return _WIDE
    return _OF_MOMENTS if column.kind is Kind.MOMENT else _WIDTH


class _Writer:
    """Writes cells by the kind of their column: numbers as numbers, days and moments as dates."""

    def __init__(self, book: Any, local: Local) -> None:
        self.heading = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left"})
        self.at = book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss", "align": "left"})
        # Without it, a text that begins like a formula becomes one when somebody edits its cell.
        self.as_text = book.add_format({"quote_prefix": True})
        self.moment = lru_cache(10_000)(
            lambda text: local(datetime.fromisoformat(text)).replace(tzinfo=None, microsecond=0)
        )

    def heading_row(self, sheet: Any, names: Any) -> None:
        """The names of the columns."""
        for at, name in enumerate(names):
            sheet.write_string(0, at, name, self.heading)

    def row(self, sheet: Any, row: int, cells: Row, columns: tuple[Column, ...]) -> None:
        """One row of a table; nothing for None."""
        for at, (cell, column) in enumerate(zip(cells, columns, strict=True)):
            if cell is None:
                continue
            if column.kind in (Kind.DECIMAL, Kind.WHOLE):
                sheet.write_number(row, at, float(cell))
            elif column.kind is Kind.DAY:
                sheet.write_datetime(row, at, date.fromisoformat(str(cell)), self.day)
            elif column.kind is Kind.MOMENT:
                sheet.write_datetime(row, at, self.moment(str(cell)), self.at)
            else:
                self.text(sheet, row, at, str(cell))

    def text(self, sheet: Any, row: int, at: int, text: str) -> None:
        """A text, which stays one; a line end in it as a workbook has them."""
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        if text:
            sheet.write_string(row, at, text, self.as_text if safe_text(text) != text else None)
