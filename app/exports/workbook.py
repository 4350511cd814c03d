"""The class as a workbook: runs, class result and practical on three sheets."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any, NamedTuple

from app.analysis.methods import method_said
from app.analysis.results import ClassResult
from app.exports.cells import Cell, calculated, safe_text
from app.exports.class_table import MORE_COLUMNS, TableRun, more_cells
from app.exports.run_table import COLUMNS, run_cells
from app.words import N_, Message, Say

Local = Callable[[datetime], datetime]

SHEETS = (Message(N_("Runs")), Message(N_("Class result")), Message(N_("Set-up")))
HEADER = (Message(N_("quantity")), Message(N_("value")), Message(N_("unit")))
SPECIFIC_HEAT = "J/(kg·K)"


class Fact(NamedTuple):
    """One line of the second and the third sheet."""

    name: Message
    value: Cell | date | Message
    unit: str = ""


def class_workbook(
    runs: Sequence[TableRun], result: ClassResult | None, set_up: Sequence[Fact], say: Say, local: Local
) -> bytes:
    """The workbook's bytes.

    `say` puts a name into the reader's language, `local` a moment on the school's clock: a cell has no zone.
    Text is never taken for a formula, and there is no NaN.
    """
    import xlsxwriter  # noqa: PLC0415 - no page but this one needs it

    held = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(held, options)
    writer = _Writer(book, say, local)
    of_runs, of_result, of_set_up = (book.add_worksheet(say(name)) for name in SHEETS)
    _run_sheet(of_runs, runs, writer)
    _fact_sheet(of_result, result_facts(result), writer)
    _fact_sheet(of_set_up, set_up, writer)
    book.close()
    return held.getvalue()


class _Writer:
    """Writes one cell by its kind."""

    def __init__(self, book: Any, say: Say, local: Local) -> None:
        self.say, self.local = say, local
        self.heading = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left"})
        self.moment = book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss", "align": "left"})
        self.left = book.add_format({"align": "left"})
        # Without it, a text that begins like a formula becomes one when somebody edits its cell.
        self.as_text = book.add_format({"quote_prefix": True})

    def write(
        self, sheet: Any, row: int, column: int, value: Cell | date | Message, style: Any = None
    ) -> None:
        """Numbers as numbers, days and moments as dates, all else as text; nothing for None."""
        if isinstance(value, Message):
            value = self.say(value)
        if isinstance(value, datetime):
            plain = self.local(value).replace(tzinfo=None, microsecond=0)
            sheet.write_datetime(row, column, plain, self.moment)
        elif isinstance(value, date):
            sheet.write_datetime(row, column, value, self.day)
        elif isinstance(value, int | Decimal):
            sheet.write_number(row, column, value, style)
        elif value:
            odd = safe_text(value) != value
            sheet.write_string(row, column, value, self.as_text if odd else style)


def _run_sheet(sheet: Any, runs: Sequence[TableRun], writer: _Writer) -> None:
    names = (*COLUMNS, *MORE_COLUMNS)
    for column, name in enumerate(names):
        writer.write(sheet, 0, column, name, writer.heading)
    for row, run in enumerate(runs, 1):
        cells = run_cells(run.readings) | more_cells(run)
        for column, name in enumerate(names):
            cell = cells[name]
            if name in ("bench", "run") and isinstance(cell, str) and cell.isdecimal():
                cell = int(cell)
            writer.write(sheet, row, column, cell)
    sheet.freeze_panes(1, 2)
    sheet.set_column(0, len(names) - 1, 14)
    for name in ("decided_at", "first_sent_at"):
        sheet.set_column(names.index(name), names.index(name), 19)


def result_facts(result: ClassResult | None) -> list[Fact]:
    """What the class found, each figure with its unit."""
    if result is None:
        return [Fact(Message(N_("No bench has sent a run yet.")), None)]
    facts: list[Fact] = []
    if (value := result.class_value) is not None:
        low, high = value.interval_95 or (None, None)
        facts += [
            _specific_heat(Message(N_("Class value")), value.apparent_heat_capacity_J_per_kg_K),
            _specific_heat(Message(N_("95 %% interval, lower end")), low),
            _specific_heat(Message(N_("95 %% interval, upper end")), high),
            Fact(Message(N_("Percent error")), calculated(value.percent_error), "%"),
            _specific_heat(Message(N_("Accepted value")), value.accepted_J_per_kg_K),
            Fact(Message(N_("Counted runs")), value.runs),
            Fact(Message(N_("Benches")), value.benches),
            Fact(Message(N_("Method")), method_said(value.method)),
        ]
    spread, apart = result.spread, result.separated
    low, high = apart.interval_95 or (None, None)
    return [
        *facts,
        _specific_heat(Message(N_("Repeatability")), spread.repeatability_sd),
        _specific_heat(Message(N_("Between benches")), spread.between_bench_sd),
        _specific_heat(Message(N_("Reproducibility")), spread.reproducibility_sd),
        _specific_heat(Message(N_("With the heat sink taken out")), apart.heat_capacity_J_per_kg_K),
        _specific_heat(Message(N_("Its 95 %% interval, lower end")), low),
        _specific_heat(Message(N_("Its 95 %% interval, upper end")), high),
        Fact(Message(N_("Heat sink")), calculated(apart.heat_sink_J_per_K), "J/K"),
    ]


def _specific_heat(name: Message, value: float | None) -> Fact:
    return Fact(name, calculated(value), SPECIFIC_HEAT)


def _fact_sheet(sheet: Any, facts: Sequence[Fact], writer: _Writer) -> None:
    for column, width in enumerate((38, 60, 12)):
        sheet.set_column(column, column, width)
    for column, name in enumerate(HEADER):
        writer.write(sheet, 0, column, name, writer.heading)
    for row, fact in enumerate(facts, 1):
        writer.write(sheet, row, 0, fact.name, writer.heading)
        writer.write(sheet, row, 1, fact.value, writer.left)
        writer.write(sheet, row, 2, fact.unit)
    sheet.freeze_panes(1, 0)
