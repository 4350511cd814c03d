"""The class as a workbook: runs, class result and practical on three sheets."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

from app.analysis.results import ClassResult
from app.exports.class_table import MORE_COLUMNS, TableRun, more_cells
from app.exports.run_table import COLUMNS
from app.words import N_, Message

Say = Callable[[Message], str]
Fact = tuple[Message, "str | float | None"]

_RUNS, _RESULT, _SET_UP = Message(N_("Runs")), Message(N_("Result")), Message(N_("Set-up"))


def class_workbook(
    runs: Sequence[TableRun], result: ClassResult | None, set_up: Sequence[Fact], say: Say
) -> bytes:
    """The workbook's bytes. Text is never taken for a formula; there is no NaN and no zoned time in it."""
    import xlsxwriter  # noqa: PLC0415 - no page but this one needs it

    held = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(held, options)
    heading = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    _run_sheet(book.add_worksheet(say(_RUNS)[:31]), runs, heading)
    _fact_sheet(book.add_worksheet(say(_RESULT)[:31]), _result_facts(result), say, heading)
    _fact_sheet(book.add_worksheet(say(_SET_UP)[:31]), set_up, say, heading)
    book.close()
    return held.getvalue()


def _run_sheet(sheet: Any, runs: Sequence[TableRun], heading: Any) -> None:
    for column, name in enumerate((*COLUMNS, *MORE_COLUMNS)):
        sheet.write_string(0, column, name, heading)
    for row, run in enumerate(runs, 1):
        cells = {**_reading_cells(run), **more_cells(run)}
        for column, name in enumerate((*COLUMNS, *MORE_COLUMNS)):
            _write(sheet, row, column, cells[name])
    sheet.freeze_panes(1, 2)
    sheet.set_column(0, len(COLUMNS) + len(MORE_COLUMNS) - 1, 14)


def _reading_cells(run: TableRun) -> dict[str, str | float | None]:
    one = run.readings
    return {
        "bench": float(one.bench) if one.bench.isdigit() else one.bench,
        "run": float(one.run) if one.run.isdigit() else one.run,
        "shot_mass_g": round(one.shot_mass_kg * 1e3, 9),
        "tube_length_cm": round(one.tube_length_m * 1e2, 9),
        "end_allowance_cm": round(one.end_allowance_m * 1e2, 9),
        "inversions": one.inversions,
        "start_temperature_C": one.start_temperature_C,
        "end_temperature_C": one.end_temperature_C,
        "room_temperature_C": one.room_temperature_C,
        "set_aside": "yes" if one.set_aside else "",
        "planned_shot_mass_g": _times(one.planned_shot_mass_kg, 1e3),
        "planned_tube_length_cm": _times(one.planned_tube_length_m, 1e2),
        "planned_inversions": one.planned_inversions,
    }


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else round(value * factor, 9)


def _result_facts(result: ClassResult | None) -> list[Fact]:
    if result is None:
        return [(Message(N_("No runs yet")), None)]
    facts: list[Fact] = []
    if (value := result.class_value) is not None:
        low, high = value.interval_95 or (None, None)
        facts += [
            (Message(N_("Class value, J/(kg·K)")), value.apparent_heat_capacity_J_per_kg_K),
            (Message(N_("95 %% interval from")), low),
            (Message(N_("95 %% interval to")), high),
            (Message(N_("Percent error")), value.percent_error),
            (Message(N_("Accepted value, J/(kg·K)")), value.accepted_J_per_kg_K),
            (Message(N_("Counted runs")), float(value.runs)),
            (Message(N_("Benches")), float(value.benches)),
            (Message(N_("Method")), value.method),
        ]
    separated = result.separated
    low, high = separated.interval_95 or (None, None)
    return [
        *facts,
        (Message(N_("Repeatability, J/(kg·K)")), result.spread.repeatability_sd),
        (Message(N_("Between benches, J/(kg·K)")), result.spread.between_bench_sd),
        (Message(N_("Reproducibility, J/(kg·K)")), result.spread.reproducibility_sd),
        (Message(N_("Separated specific heat capacity, J/(kg·K)")), separated.heat_capacity_J_per_kg_K),
        (Message(N_("Its 95 %% interval from")), low),
        (Message(N_("Its 95 %% interval to")), high),
        (Message(N_("Heat sink, J/K")), separated.heat_sink_J_per_K),
    ]


def _fact_sheet(sheet: Any, facts: Sequence[Fact], say: Say, heading: Any) -> None:
    sheet.set_column(0, 0, 38)
    sheet.set_column(1, 1, 60)
    for row, (name, value) in enumerate(facts):
        sheet.write_string(row, 0, say(name), heading)
        _write(sheet, row, 1, value)


def _write(sheet: Any, row: int, column: int, value: str | float | None) -> None:
    if isinstance(value, float):
        sheet.write_number(row, column, value)
    elif value:
        sheet.write_string(row, column, value)
