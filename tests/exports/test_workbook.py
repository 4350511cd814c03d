"""The class result as a sheet: each figure of the result, once, with its unit."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import openpyxl
import pytest

from app.analysis.results import ClassValue, Separated, Spread
from app.exports.class_table import TableRun, class_table, more_cells
from app.exports.workbook import Fact, class_workbook, result_facts
from app.words import Message
from tests.figures.classes import a_class, a_run, worked_out

NOW = datetime(2031, 3, 6, 10, 42, 7, 999, tzinfo=UTC)


def test_every_figure_of_the_result_has_its_line_and_its_unit() -> None:
    value = ClassValue(
        142.34567890123, (131.5, 153.25), "the method", 24, 8, 11.739, 127.43, False, (3.0, 20.5)
    )
    apart = Separated(True, Message("apart"), 131.04, (121.9, 140.8), 17.53, (14.0, 21.0), 2.85, True)
    result = replace(
        worked_out(a_class(4)), class_value=value, spread=Spread(4.05, 6.25, 7.5), separated=apart
    )
    heat = "J/(kg·K)"
    facts = result_facts(result)
    values = [str(fact.value) if isinstance(fact.value, Message) else fact.value for fact in facts]
    assert [(str(fact.name), value, fact.unit) for fact, value in zip(facts, values, strict=True)] == [
        ("Class value", Decimal("142.3456789"), heat),
        ("95 % interval, lower end", Decimal("131.5"), heat),
        ("95 % interval, upper end", Decimal("153.25"), heat),
        ("Percent error", Decimal("11.739"), "%"),
        ("Accepted value", Decimal("127.43"), heat),
        ("Counted runs", 24, ""),
        ("Benches", 8, ""),
        ("Method", "the method", ""),
        ("Repeatability", Decimal("4.05"), heat),
        ("Between benches", Decimal("6.25"), heat),
        ("Reproducibility", Decimal("7.5"), heat),
        ("With the heat sink taken out", Decimal("131.04"), heat),
        ("Its 95 % interval, lower end", Decimal("121.9"), heat),
        ("Its 95 % interval, upper end", Decimal("140.8"), heat),
        ("Heat sink", Decimal("17.53"), "J/K"),
    ]


def test_what_a_result_does_not_have_is_empty_and_without_a_class_value_there_is_none_of_its_lines() -> None:
    result = replace(
        worked_out(a_class(4)), class_value=None, separated=Separated(False, Message("one mass"))
    )
    facts = {str(fact.name): fact.value for fact in result_facts(result)}
    assert "Class value" not in facts
    assert facts["With the heat sink taken out"] is facts["Heat sink"] is None
    assert facts["Its 95 % interval, lower end"] is None
    assert [str(fact.name) for fact in result_facts(None)] == ["No bench has sent a run yet."]


def a_row(**changes: object) -> TableRun:
    (worked,) = worked_out([a_run(7, warming=2.5)]).runs
    row = TableRun(worked.readings, worked, 2, "bench", NOW, False)
    return replace(row, **changes)  # type: ignore[arg-type]


def test_the_cells_beside_the_readings_are_those_of_the_run() -> None:
    """g·h·N = 9.80665 × 0.92 × 50 = 451.1059 J/kg, and by 2.5 K 180.44236 J/(kg·K)."""
    cells = more_cells(a_row(decision="set aside", decision_reason="spilled", decided_by="T", decided_at=NOW))
    assert cells["fall_m"] == Decimal("0.92")
    assert cells["warming_K"] == Decimal("2.5")
    assert cells["specific_energy_J_per_kg"] == Decimal("451.1059")
    assert cells["apparent_heat_capacity_J_per_kg_K"] == Decimal("180.44236")
    assert cells["standard_uncertainty_J_per_kg_K"] == Decimal("2.959254704")
    assert (cells["decision"], cells["decision_reason"], cells["decided_by"], cells["decided_at"]) == (
        *("set aside", "spilled", "T"),
        NOW,
    )
    assert (cells["versions"], cells["entered_by"], cells["first_sent_at"]) == (2, "bench", NOW)
    assert (cells["flags"], cells["suspected_slip"], cells["simulated"]) == ("", "", "")
    assert more_cells(a_row(simulated=True))["simulated"] == "yes"
    assert [name for name, cell in more_cells(a_row(worked=None)).items() if cell is None] == [
        "class_room_temperature_C",
        *("fall_m", "specific_energy_J_per_kg", "warming_K", "apparent_heat_capacity_J_per_kg_K"),
        *("standard_uncertainty_J_per_kg_K", "decided_at"),
    ]


def test_a_reason_of_several_lines_stands_on_one_in_the_table_and_a_moment_has_its_zone() -> None:
    text = class_table([a_row(decision_reason="spilled\n  some\tshot ")])
    assert ",spilled some shot," in text
    assert ",2031-03-06T10:42:07+00:00," in text
    assert text.count("\r\n") == 2


def book_of(*facts: Fact, runs: tuple[TableRun, ...] = ()) -> openpyxl.Workbook:
    data = class_workbook(runs, None, facts, str, lambda moment: moment)
    return openpyxl.load_workbook(io.BytesIO(data))


def test_each_kind_of_fact_is_a_cell_of_its_kind() -> None:
    sheet = book_of(
        Fact(Message("day"), date(2031, 3, 6)),
        Fact(Message("moment"), NOW),
        Fact(Message("number"), Decimal("0.10"), "K"),
        Fact(Message("none"), 0),
        Fact(Message("text"), "=1+1"),
        Fact(Message("harmless"), "lead"),
        Fact(Message("nothing"), None),
    ).worksheets[2]
    rows = list(sheet.iter_rows(min_row=2))
    assert [row[0].value for row in rows] == [
        "day",
        "moment",
        "number",
        "none",
        "text",
        "harmless",
        "nothing",
    ]
    day, moment, number, none, text, harmless, nothing = (row[1] for row in rows)
    assert (day.value, day.number_format) == (datetime(2031, 3, 6), "yyyy-mm-dd")  # noqa: DTZ001
    assert (moment.value, moment.number_format) == (
        datetime(2031, 3, 6, 10, 42, 7),  # noqa: DTZ001
        "yyyy-mm-dd hh:mm:ss",
    )
    assert (number.value, number.data_type, rows[2][2].value) == (0.1, "n", "K")
    assert (none.value, text.value, text.data_type, nothing.value) == (0, "=1+1", "s", None)
    assert (text.quotePrefix, harmless.quotePrefix) == (True, False)
    assert day.alignment.horizontal == moment.alignment.horizontal == number.alignment.horizontal == "left"
    assert rows[0][0].font.b
    assert rows[0][0].alignment.wrap_text


def test_columns_are_wide_enough_for_a_name_a_source_and_a_unit() -> None:
    """In characters; the longest names and sources of the catalogues are some 35 and 60 long."""
    runs, result, set_up = book_of(runs=(a_row(),)).worksheets
    for sheet in (result, set_up):
        widths = [sheet.column_dimensions[letter].width for letter in "ABC"]
        assert widths == pytest.approx([38, 60, 12], abs=0.8)
    assert runs.column_dimensions["A"].width == pytest.approx(14, abs=0.8)


def test_benches_and_runs_with_numbers_are_numbers_and_others_are_text() -> None:
    (worked,) = worked_out([a_run("3b", "²")]).runs
    odd = replace(a_row(), readings=worked.readings)
    sheet = book_of(runs=(a_row(), odd)).worksheets[0]
    assert [[cell.value for cell in row[:2]] for row in sheet.iter_rows(min_row=2)] == [[7, 1], ["3b", "²"]]
