"""The workbook: read by two independent libraries, numbers and dates are such, and text stays text."""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from python_calamine import CalamineWorkbook

from app.exports import workbook
from app.exports.tidy.column import UCUM, Kind
from app.exports.tidy.tables import TABLES
from app.exports.workbook import PracticalsWorkbook
from app.practicals.out.whole import whole_practical
from app.records.engine import Database
from tests.practicals.a_full_class import FORMULA, a_full_class


@pytest.fixture
def data(sqlite_database: Database) -> bytes:
    one = a_full_class(sqlite_database)
    whole = whole_practical(sqlite_database, actor=one.teacher, practical_id=one.practical_id)
    file = io.BytesIO()
    book = PracticalsWorkbook(file, str, lambda moment: moment + timedelta(hours=2))
    book.add(whole, None)
    book.add(whole, None)
    book.finish()
    return file.getvalue()


def column(rows: list[tuple[Any, ...]], name: str) -> list[Any]:
    """A sheet's column by the name in its first row."""
    return [row[rows[0].index(name)] for row in rows[1:]]


def rows_of(data: bytes, sheet: str) -> list[tuple[Any, ...]]:
    return list(openpyxl.load_workbook(io.BytesIO(data))[sheet].iter_rows(values_only=True))


def test_two_libraries_read_the_same_numbers_days_and_texts(data: bytes) -> None:
    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    names = openpyxl.load_workbook(io.BytesIO(data)).sheetnames
    assert book.sheet_names == names
    for name in names:
        ours = [[_plain(cell) for cell in row] for row in rows_of(data, name)]
        theirs = [[_plain(cell) for cell in row] for row in book.get_sheet_by_name(name).to_python()]
        assert [row[: len(ours[0])] for row in theirs] == ours, name


def _plain(cell: Any) -> Any:
    """A day without a time is a date for one library and a midnight for the other; so are "" and None."""
    if isinstance(cell, datetime):
        return cell.isoformat()
    return f"{cell.isoformat()}T00:00:00" if hasattr(cell, "isoformat") else (None if cell == "" else cell)


def test_a_negative_reading_is_a_number_and_a_moment_is_on_the_schools_clock(data: bytes) -> None:
    runs = rows_of(data, "Runs")
    assert -9.81 in column(runs, "start_temperature_C")
    assert "-9.81" in column(runs, "start_temperature_typed")
    assert {type(cell) for cell in column(runs, "bench")} == {int}
    assert column(runs, "first_sent_at")[0] == datetime.fromisoformat("2031-03-06T12:15:00")
    assert column(runs, "held_on")[0] == datetime.fromisoformat("2031-03-06")


def test_no_text_of_a_person_becomes_a_formula(data: bytes) -> None:
    cells = [
        c for sheet in openpyxl.load_workbook(io.BytesIO(data)) for row in sheet.iter_rows() for c in row
    ]
    assert all(cell.data_type != "f" for cell in cells)
    odd = {c.value: c for c in cells if isinstance(c.value, str) and c.value.strip()[:1] in "=+-@"}
    texts = {f"{FORMULA} Year 10", "@SUM(1) handbook", "=1+1", "-2+3 dropped", "=2+5"}
    assert texts <= {text.strip() for text in odd}
    assert all(cell.quotePrefix for text, cell in odd.items() if text in texts)


def test_each_practical_adds_its_rows_and_the_dictionary_explains_every_column(data: bytes) -> None:
    assert [len(rows_of(data, sheet)) - 1 for sheet in ("Runs", "Benches", "Decisions", "Practicals")] == [
        8, 4, 6, 2
    ]  # fmt: skip
    head, *lines = rows_of(data, "Data dictionary")
    assert head == ("Sheet", "Column", "Meaning", "Unit", "Unit, in UCUM", "Source")
    assert [line[1] for line in lines] == [name for table in TABLES for name in table.names]
    assert all(line[2] for line in lines)
    measured = {c.name for table in TABLES for c in table.columns if c.kind is Kind.DECIMAL}
    assert all(line[4] == UCUM[line[3]] for line in lines if line[1] in measured)


def test_a_full_sheet_goes_on_in_another_one(
    sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workbook, "MOST_ROWS", 4)
    one = a_full_class(sqlite_database)
    whole = whole_practical(sqlite_database, actor=one.teacher, practical_id=one.practical_id)
    file = io.BytesIO()
    book = PracticalsWorkbook(file, str, lambda moment: moment)
    book.add(whole, None)
    book.finish()
    assert [len(rows_of(file.getvalue(), sheet)) for sheet in ("Runs", "Runs 2")] == [4, 2]


def test_the_heads_are_bold_and_broken_into_lines_from_the_top_of_their_row(data: bytes) -> None:
    for sheet in openpyxl.load_workbook(io.BytesIO(data)):
        for cell in sheet[1]:
            lines = cell.alignment
            assert (cell.font.b, lines.wrap_text, lines.vertical) == (True, True, "top"), cell.value


def test_a_workbook_that_is_given_up_holds_no_file_open(tmp_path: Path) -> None:
    book = PracticalsWorkbook(io.BytesIO(), str, lambda moment: moment, str(tmp_path))
    book.discard()
    assert [sheet.row_data_fh.closed for sheet in book.book.worksheets()] == [True] * len(TABLES)


def test_the_heads_stay_in_sight_and_a_moment_fits_its_column(data: bytes) -> None:
    sheets = openpyxl.load_workbook(io.BytesIO(data)).worksheets
    assert [sheet.freeze_panes for sheet in sheets] == ["C2", *["A2"] * 6]
    widths = {cell.value: sheets[0].column_dimensions[cell.column_letter].width for cell in sheets[0][1]}
    # "2031-03-06 10:42:00" has nineteen characters.
    assert widths["first_sent_at"] >= 19 > widths["decided_by"]
