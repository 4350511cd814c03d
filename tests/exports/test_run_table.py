"""The run table as it is read: what is accepted, and what is said of the rest, with row and column."""

from __future__ import annotations

import io

import openpyxl
import pytest

from app.exports import run_table
from app.exports.run_table import LARGEST_BYTES
from app.exports.table_text import RunTableProblem
from tests.run_tables import read_run_table

HEADER = "bench,shot_mass_g,tube_length_cm,inversions,start_temperature_C,end_temperature_C"
ROW = "1,340,100,50,19.2,21.4"


def problem(text: str | bytes) -> RunTableProblem:
    with pytest.raises(RunTableProblem) as said:
        read_run_table(text)
    return said.value


def column(name: str, cell: str) -> str:
    return f"{HEADER},{name}\n{ROW},{cell}\n"


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_any_of_three_delimiters_parts_the_fields_in_any_order_of_columns(delimiter: str, ends: str) -> None:
    names, cells = HEADER.split(",")[::-1], ROW.split(",")[::-1]
    (run,) = read_run_table(ends.join(delimiter.join(line) for line in (names, cells)) + ends)
    assert (run.bench, run.run, run.shot_mass_kg, run.tube_length_m) == ("1", "1", 0.34, 1.0)
    assert (run.inversions, run.start_temperature_C, run.end_temperature_C) == (50.0, 19.2, 21.4)
    assert (run.end_allowance_m, run.room_temperature_C, run.set_aside) == (0.0, None, False)


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_a_decimal_comma_is_read_where_the_comma_parts_no_fields(delimiter: str) -> None:
    text = f"{HEADER}\n{ROW.replace('.', 'COMMA')}".replace(",", delimiter).replace("COMMA", ",")
    (run,) = read_run_table(text)
    assert (run.start_temperature_C, run.end_temperature_C) == (19.2, 21.4)


def test_a_quoted_decimal_comma_between_commas_is_refused() -> None:
    said = problem(f'{HEADER}\n1,340,100,50,19.2,"21,4"')
    assert "“21,4” has a decimal comma; part the fields with ; or a tab then" in str(said)


def test_names_of_columns_are_read_whatever_their_case_and_the_byte_order_mark_is_passed_over() -> None:
    for source in (
        f"\ufeff{HEADER.upper()}\n{ROW}",
        f"\ufeff{HEADER}\n{ROW}".encode(),
        f"\r\n{HEADER}\n{ROW}",
    ):
        assert read_run_table(source)[0].shot_mass_kg == 0.34


def test_runs_of_a_bench_are_numbered_where_the_table_does_not_and_empty_lines_are_passed_over() -> None:
    rows = f"{HEADER}\n{ROW}\n\n,,,,,\n2{ROW[1:]}\n{ROW}\n"
    assert [(run.bench, run.run) for run in read_run_table(rows)] == [("1", "1"), ("2", "1"), ("1", "2")]
    assert read_run_table(column("run", "7"))[0].run == "7"


def test_what_the_plan_gave_and_the_bench_s_own_thermometer_are_read() -> None:
    names = (
        "planned_shot_mass_g,planned_tube_length_cm,planned_inversions,thermometer_step_K,room_temperature_C"
    )
    (run,) = read_run_table(column(names, "350,98,60,0.5,-3"))
    planned = (run.planned_shot_mass_kg, run.planned_tube_length_m, run.planned_inversions)
    assert (*planned, run.thermometer_step_K, run.room_temperature_C) == (0.35, 0.98, 60.0, 0.5, -3.0)
    (run,) = read_run_table(column(names, ",,,,"))
    assert run.planned_inversions is run.thermometer_step_K is run.room_temperature_C is None


@pytest.mark.parametrize(
    ("text", "row", "name", "sentence"),
    [
        ("", None, None, "The table is empty: a header row and at least one run are needed."),
        (f"{HEADER}\n", 1, None, "The table has a header and no runs below it."),
        (f"{HEADER},inversions\n{ROW},5", 1, "inversions", "The header names the column inversions twice."),
        (
            "bench,inversions\n1,50",
            1,
            "shot_mass_g",
            "The header (row 1) has no column shot_mass_g, tube_length_cm, start_temperature_C, "
            "end_temperature_C. Needed: bench, shot_mass_g, tube_length_cm, inversions, start_temperature_C, "
            "end_temperature_C.",
        ),
        (
            f"{HEADER}\n{ROW}\n\n{ROW},7",
            4,
            None,
            "Row 4 is not as wide as the header (fields: 7, header: 6).",
        ),
        (f"{HEADER}\n{ROW[1:]}", 2, "bench", "Row 2, column bench: the bench's label is missing."),
        (f"{HEADER}\n{ROW[:-5]}", 2, "end_temperature_C", "column end_temperature_C: a number is missing."),
        (
            column("thermometer_step_K", "0"),
            2,
            "thermometer_step_K",
            "a thermometer's step is more than zero.",
        ),
        (column("thermometer_step_K", "-0.1"), 2, "thermometer_step_K", "step is more than zero."),
        (
            column("room_temperature_C", "1e999"),
            2,
            "room_temperature_C",
            "“1e999” is too large to be a reading.",
        ),
        (column("room_temperature_C", "9" * 40), 2, None, ""),
        (column("room_temperature_C", "x" * 40), 2, None, f"“{'x' * 40}” is not a number."),
        (column("room_temperature_C", "x" * 41), 2, None, f"“{'x' * 40}…” is not a number."),
        (column("room_temperature_C", "0" * 401), 2, None, "is not a number."),
        (column("set_aside", "perhaps"), 2, "set_aside", "column set_aside: write yes, or leave it empty."),
    ],
)
def test_what_cannot_be_read_is_said_with_its_row_and_its_column(
    text: str, row: int | None, name: str | None, sentence: str
) -> None:
    if not sentence:  # forty digits are a number, if an odd one
        assert read_run_table(text)[0].room_temperature_C == 1e40
        return
    said = problem(text)
    assert sentence in str(said)
    assert said.row == row
    assert name is None or said.column == name


def test_four_hundred_digits_are_read_and_empty_cells_beside_the_table_are_no_fields() -> None:
    assert read_run_table(column("room_temperature_C", "0" * 399 + "7"))[0].room_temperature_C == 7.0
    assert len(read_run_table(f"{HEADER}\n{ROW},, \n")) == 1
    assert read_run_table(column("room_temperature_C", "\u22123"))[0].room_temperature_C == -3.0


def test_a_byte_that_is_no_text_is_said_with_its_row() -> None:
    said = problem(f"{HEADER}\n{ROW}\n".encode() + b"\xfcber")
    assert str(said).startswith("Row 3 is not UTF-8 text (byte 0xFC).")
    below_an_empty_line = problem(f"\n{HEADER}\n".encode() + b"\xfcber")
    assert str(below_an_empty_line).startswith("Row 3 is not UTF-8 text (byte 0xFC).")


def test_a_workbook_is_told_from_a_table() -> None:
    data = io.BytesIO()
    openpyxl.Workbook().save(data)
    assert str(problem(data.getvalue())).startswith("This is a workbook, not a table as text. Save it as CSV")


def test_a_table_may_have_64_megabytes_and_no_more() -> None:
    assert LARGEST_BYTES == 64 * 1024**2
    assert "The table is empty" in str(problem(b"\n" * LARGEST_BYTES))
    assert str(problem(b"\n" * (LARGEST_BYTES + 1))).startswith("This file is larger than 64 MB")


def test_as_many_runs_as_the_limit_says_are_read_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run_table, "LARGEST_ROWS", 2)
    assert len(read_run_table(f"{HEADER}\n{ROW}\n{ROW}\n")) == 2
    said = problem(f"{HEADER}\n{ROW}\n{ROW}\n{ROW}\n")
    assert str(said) == "This table has more than 2 runs; give one class's runs at a time."
    assert said.row == 4
