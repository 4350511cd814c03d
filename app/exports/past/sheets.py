"""A table as rows of text: small, whole, and read without believing what it says of its size."""

from __future__ import annotations

import csv
import io
import re
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from zipfile import BadZipFile, ZipFile

from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

from app.exports.file_problem import FileProblem
from app.exports.table_text import delimiter_of
from app.words import N_

MOST_ROWS, MOST_COLUMNS = 1000, 60
"""One class has a few hundred runs, and no table of one has so many columns (our own choice)."""
LARGEST_TEXT = 1024 * 1024
"""Characters of all sheets as text: they go with the form from step to step (our own choice)."""
LARGEST_UNPACKED = 32 * 1024 * 1024
"""Bytes of a workbook's parts together, unpacked (our own choice)."""
_A_WORKBOOK = "xl/workbook.xml"
_SHEET = re.compile(r"xl/worksheets/[^/]+\.xml", re.IGNORECASE)
_PLACED = re.compile(rb"<(?:\w+:)?(?P<kind>row|c)(?=[\s/>])(?P<rest>[^>]*)>")
_PLACE = re.compile(rb"\sr\s*=\s*[\"'](?P<column>[A-Z]{0,3})(?P<row>[0-9]{1,9})[\"']")
"""Where a cell or a row says that it stands (ECMA-376 part 1, 18.3.1.4 and 18.3.1.73, attribute r)."""


class TableProblem(FileProblem):
    """The file cannot be read as a table."""


@dataclass(frozen=True)
class Sheet:
    """One table. `rows[0]` is the first row of the file; a row may be shorter than others."""

    name: str
    rows: Sequence[Sequence[str]]

    @property
    def text(self) -> str:
        """The same as one text parted by commas."""
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(row or [""] for row in self.rows)
        return out.getvalue()


@dataclass(frozen=True)
class Sheets:
    """What can be read of a file, and the names of its hidden sheets, which are left alone."""

    sheets: Sequence[Sheet]
    hidden: Sequence[str] = ()


def is_workbook(data: bytes) -> bool:
    """Whether these are the bytes of a workbook (XLSX), as against another ZIP file."""
    try:
        with ZipFile(io.BytesIO(data)) as file:
            return _A_WORKBOOK in file.namelist()
    except (BadZipFile, ValueError, OSError):
        return False


def sheets_of_workbook(data: bytes) -> Sheets:
    """The sheets of a workbook that are shown and not empty. Raises `TableProblem`."""
    _refuse_the_overfull(data)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        worksheets = [one for one in book.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet]
        shown = [one.name for one in worksheets if one.visible == SheetVisibleEnum.Visible]
        hidden = [one.name for one in worksheets if one.visible != SheetVisibleEnum.Visible]
        cells = {name: book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in shown}
    except CalamineError:
        raise TableProblem(
            N_("The workbook is damaged, locked or not whole. Save it again as XLSX, then try again.")
        ) from None
    found = [Sheet(name, [[_text(cell) for cell in row] for row in rows]) for name, rows in cells.items()]
    sheets = [sheet for sheet in found if any(any(row) for row in sheet.rows)]
    if not sheets:
        raise TableProblem(N_("The workbook has no sheet with anything in it that is shown."))
    _refuse_large(sheets)
    return Sheets(sheets, hidden)


def sheet_of_text(data: bytes) -> Sheet:
    """The table in a file of text. Raises `TableProblem`."""
    if b"\x00" in data[:4] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise TableProblem(N_("This is no table: neither CSV nor a workbook (XLSX)."))
    coding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        text = data.decode(coding)
    except UnicodeDecodeError as error:
        raise TableProblem(
            N_(
                "Row %(row)s is not UTF-8 text. Save the table as “CSV UTF-8” or as a workbook (XLSX), then "
                "try again."
            ),
            row=str(data.count(b"\n", 0, error.start) + 1),
        ) from None
    return sheet_of(text)


def sheet_of(text: str, parted_by: str = "") -> Sheet:
    """The table in a text, whose fields a comma, a semicolon or a tab parts: the one that its first line has
    most of, unless it is given. Raises `TableProblem`."""
    if not text.strip():
        raise TableProblem(N_("The table is empty: a heading row and at least one run are needed."))
    if "\x00" in text:
        raise TableProblem(N_("This is no table: neither CSV nor a workbook (XLSX)."))
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parted_by or delimiter_of(text))
    try:
        sheet = Sheet("", [[" ".join(cell.split()) for cell in row] for row in reader])
    except csv.Error:
        raise TableProblem(
            N_("The text cannot be read as a table (row %(row)s)."), row=str(reader.line_num)
        ) from None
    _refuse_large([sheet])
    return sheet


def _refuse_large(sheets: Iterable[Sheet]) -> None:
    for sheet in sheets:
        if len(sheet.rows) > MOST_ROWS or max(map(len, sheet.rows), default=0) > MOST_COLUMNS:
            raise _too_large()
    if sum(len(sheet.text) for sheet in sheets) > LARGEST_TEXT:
        raise _too_large()


def _too_large() -> TableProblem:
    return TableProblem(
        N_(
            "The table is larger than the runs of a class: at most %(rows)s rows, %(columns)s columns and 1 "
            "MB of text are read. Bring in one class at a time."
        ),
        rows=str(MOST_ROWS),
        columns=str(MOST_COLUMNS),
    )


def _refuse_the_overfull(data: bytes) -> None:
    """Unpack the parts of a workbook, never more than `LARGEST_UNPACKED` of them, and look where its cells
    say that they stand: whoever reads it makes room for all cells up to the last one."""
    left = LARGEST_UNPACKED
    try:
        with ZipFile(io.BytesIO(data)) as file:
            for info in file.infolist():
                if info.file_size > left:
                    raise _too_large()
                with file.open(info) as part:
                    content = part.read(left + 1)
                left -= len(content)
                if left < 0:
                    raise _too_large()
                if _SHEET.fullmatch(info.filename):
                    _refuse_far_cells(content)
    except (BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, zlib.error):
        raise TableProblem(
            N_("The workbook is damaged, locked or not whole. Save it again as XLSX, then try again.")
        ) from None


def _refuse_far_cells(content: bytes) -> None:
    for found in _PLACED.finditer(content):
        place = _PLACE.search(found["rest"])
        if place is None:
            raise TableProblem(
                N_("A sheet of the workbook does not say where its cells stand. Save it again as XLSX.")
            )
        column = 0
        for letter in place["column"]:
            column = 26 * column + letter - 64
        if int(place["row"]) > MOST_ROWS or column > MOST_COLUMNS:
            raise _too_large()


def _text(cell: object) -> str:
    """A cell's value as text: numbers in full, days as ISO 8601 writes them."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ")
    if isinstance(cell, date | time):
        return cell.isoformat()
    return " ".join(str(cell).split())
