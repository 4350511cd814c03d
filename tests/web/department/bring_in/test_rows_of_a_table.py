"""What is read of a table before anything is asked of the records: its rows, its guesses, its benches."""

from __future__ import annotations

import pytest

from app.exports.past.sheets import Sheet
from app.web.department.bring_in.table_form import TableForm, facts, offered, table_form
from app.web.department.bring_in.table_rows import judged

HEAD = ["Group", "Mass (g)", "Date"]


def _form(rows: list[list[str]], **sent: str) -> TableForm:
    return table_form(Sheet("", rows), {"heading_row": "1", "column_bench": "0", **sent})


def _benches(*labels: str) -> list[int]:
    return [row.bench for row in judged(_form([HEAD, *([label, "340", ""] for label in labels)]))]


@pytest.mark.parametrize(
    ("left_out", "rows"),
    [
        *(("", [2, 3, 4, 6, 7]), ("3", [2, 4, 6, 7]), ("2, 6-7", [3, 4]), ("3\N{EN DASH}4;7", [2, 6])),
        ("4-2", [2, 3, 4, 6, 7]),
    ],
)
def test_rows_are_left_out_one_by_one_and_from_the_first_to_the_last(left_out: str, rows: list[int]) -> None:
    sheet = [HEAD, *([name, "", ""] for name in "abc"), ["", "", ""], *([name, "", ""] for name in "de")]
    form = _form(sheet, rows_out=left_out)
    assert (list(form.rows), "rows_out" in form.problems) == (rows, False)


def test_headings_in_the_last_row_have_no_row_below_and_behind_it_there_is_none() -> None:
    said = {at: str(_form([HEAD, ["1", "2", "3"]], heading_row=at).problems["heading_row"]) for at in "23"}
    assert said == {"2": "There is no row below the headings.", "3": "The table has no such row."}


def test_a_row_that_ends_early_has_nothing_in_its_last_columns() -> None:
    form = _form([HEAD, ["1", "340"], ["2"]], column_date="2")
    assert [form.cell(row, "bench") for row in form.rows.values()] == ["1", "2"]
    assert form.cell(["1", "340"], "bench") == "1"
    short = offered(Sheet("", [HEAD, ["1", "340,5"], ["1", "340,5", "31.3.2031"]]))
    assert (short.typed["decimal_mark"], short.typed["day_style"]) == (",", "day first")


def test_mark_and_days_are_guessed_from_the_only_row_below_the_headings() -> None:
    guessed = offered(Sheet("", [["Autumn", "", ""], HEAD, ["1", "340,5", "31.3.2031"]])).typed
    named = ("heading_row", "decimal_mark", "day_style")
    assert [guessed[name] for name in named] == ["2", ",", "day first"]


@pytest.mark.parametrize(("letters", "refused"), [(120, False), (121, True), (0, True)])
def test_a_title_has_up_to_120_letters(letters: int, refused: bool) -> None:
    form = _form([HEAD, ["1", "2", ""]], title="t" * letters)
    facts(form)
    assert ("title" in form.problems) is refused


def test_of_many_rows_without_a_day_the_first_twenty_are_named() -> None:
    rows = [["1", "340", "soon"] for _ in range(21)]
    form = _form([HEAD, *rows], column_held_on="2", day_style="day first")
    assert facts(form) is None
    named = ", ".join(map(str, range(2, 22)))
    assert str(form.problems["column_held_on"]) == f"These rows have no day of this style: {named}."


def test_benches_keep_numbers_that_a_bench_can_have_and_are_counted_otherwise() -> None:
    assert _benches("2", "1", "99", "2") == [2, 1, 99, 2]
    assert _benches("2", "100", "1") == [1, 2, 3]
    assert _benches("7", "007", "7") == [1, 2, 1], "two labels are two benches"
    assert _benches("b", "", "a") == [1, 0, 2]
