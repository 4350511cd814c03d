"""Days and times in a table from elsewhere, and its headings, where they could be taken amiss."""

from __future__ import annotations

import io
from datetime import UTC, datetime, time

import pytest
from xlsxwriter import Workbook

from app.exports.past.columns import heading_row
from app.exports.past.days import DayStyle, only_style
from app.exports.past.sheets import TableProblem, sheets_of_workbook


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
def test_a_sheet_has_as_many_rows_and_columns_as_a_table_takes(rows: int, columns: int, fits: bool) -> None:
    out = io.BytesIO()
    with Workbook(out, {"in_memory": True}) as book:
        book.add_worksheet().write_number(rows - 1, columns - 1, 7)
    if fits:
        (read,) = sheets_of_workbook(out.getvalue()).sheets
        assert read.rows[-1][-1] == "7"
    else:
        with pytest.raises(TableProblem, match="at most 1000 rows"):
            sheets_of_workbook(out.getvalue())
