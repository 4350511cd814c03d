"""Days and times in a table from elsewhere, and its headings, where they could be taken amiss."""

from __future__ import annotations

import io
from datetime import UTC, datetime, time
from zipfile import ZipFile

import pytest
from xlsxwriter import Workbook

from app.exports.past import sheets
from app.exports.past.columns import heading_row
from app.exports.past.days import DayStyle, only_style
from app.exports.past.sheets import TableProblem, sheet_of, sheets_of_workbook


def test_a_workbooks_day_keeps_its_time_of_day_unless_it_has_none() -> None:
    out = io.BytesIO()
    with Workbook(out, {"in_memory": True, "remove_timezone": True}) as book:
        sheet, day = book.add_worksheet(), book.add_format({"num_format": "d.m.yyyy"})
        sheet.write_datetime(0, 0, datetime(2031, 3, 6, tzinfo=UTC), day)
        sheet.write_datetime(0, 1, datetime(2031, 3, 6, 10, 15, tzinfo=UTC), day)
        sheet.write_datetime(0, 2, time(10, 15), book.add_format({"num_format": "hh:mm"}))
    (read,) = sheets_of_workbook(out.getvalue()).sheets
    assert read.rows == [["2031-03-06", "2031-03-06 10:15:00", "10:15:00"]]


def test_cells_keep_their_places_below_and_beside_what_is_empty() -> None:
    out = io.BytesIO()
    with Workbook(out, {"in_memory": True}) as book:
        book.add_worksheet().write_string(2, 1, "mass")
    (read,) = sheets_of_workbook(out.getvalue()).sheets
    assert read.rows == [["", ""], ["", ""], ["", "mass"]]


def test_days_that_are_the_same_in_two_styles_need_no_choice_and_the_day_stands_first() -> None:
    assert only_style(["3.3.2031", "12/12/2031"]) is DayStyle.DAY_FIRST
    assert only_style(["3.3.2031", "12/11/2031"]) is None


def test_a_table_without_a_row_of_headings_is_read_from_its_first_row() -> None:
    assert heading_row([["Runs", ""], ["340"], ["350"]]) == 0
    assert heading_row([["Runs", ""], ["mass", "turns"], ["340", "50"]]) == 1


def test_a_workbook_whose_runs_are_all_hidden_has_nothing_to_read() -> None:
    out = io.BytesIO()
    with Workbook(out, {"in_memory": True}) as book:
        book.add_worksheet()
        hidden = book.add_worksheet()
        hidden.write_string(0, 0, "mass")
        hidden.hide()
    with pytest.raises(TableProblem, match="has no sheet with anything in it that is shown"):
        sheets_of_workbook(out.getvalue())


@pytest.mark.parametrize(("rows", "columns", "fits"), [(1000, 60, True), (1001, 1, False), (1, 61, False)])
def test_a_sheet_has_as_many_rows_and_columns_as_a_table_takes(
    rows: int, columns: int, fits: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One with more is refused before room is made for its cells."""
    out = io.BytesIO()
    with Workbook(out, {"in_memory": True}) as book:
        book.add_worksheet().write_number(rows - 1, columns - 1, 7)
    if fits:
        (read,) = sheets_of_workbook(out.getvalue()).sheets
        assert read.rows[-1][-1] == "7"
    else:
        monkeypatch.delattr(sheets, "CalamineWorkbook")
        with pytest.raises(TableProblem, match="at most 1000 rows"):
            sheets_of_workbook(out.getvalue())


def test_a_table_is_read_up_to_its_most_signs_and_a_workbook_up_to_its_most_bytes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Eighteen signs with the end of each line; the bytes as the ZIP file itself tells them."""
    out = io.BytesIO()
    with Workbook(out, {"in_memory": True}) as book:
        book.add_worksheet().write_number(0, 0, 7)
    with ZipFile(out) as file:
        bytes_of_all = sum(part.file_size for part in file.infolist())
    monkeypatch.setattr(sheets, "LARGEST_TEXT", 18)
    monkeypatch.setattr(sheets, "LARGEST_UNPACKED", bytes_of_all)
    assert sheet_of("mass,turns\n340,50").rows == [["mass", "turns"], ["340", "50"]]
    assert sheets_of_workbook(out.getvalue()).sheets[0].rows == [["7"]]
    monkeypatch.setattr(sheets, "LARGEST_TEXT", 17)
    monkeypatch.setattr(sheets, "LARGEST_UNPACKED", bytes_of_all - 1)
    with pytest.raises(TableProblem, match="at most 1000 rows"):
        sheet_of("mass,turns\n340,50")
    with pytest.raises(TableProblem, match="at most 1000 rows"):
        sheets_of_workbook(out.getvalue())
