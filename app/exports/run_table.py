"""The run table: a class's readings as delimited text, in and out.

`table_text` parts it into fields; where `;` or a tab parts them, a decimal comma is accepted. Numbers are
shifted between the table's units (g, cm) and SI as decimals, so that a table written here and read again
gives exactly the same readings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from math import isfinite
from pathlib import Path
from typing import Any

from app.analysis.readings import RunReadings
from app.exports.cells import NUMBER, Cell, csv_text, original_text, shifted
from app.exports.table_text import RunTableProblem, TextRow, text_rows
from app.physics.limits import ICE_POINT_C
from app.physics.reading.ends import PARTS, WHOLE, add_up
from app.physics.rounding import short
from app.physics.run import QUANTITIES, Quantity
from app.words import N_

_PLANNED = tuple(quantity for quantity in QUANTITIES.values() if quantity.planned)
STEP = "thermometer_step_K"
"""Of the bench's own thermometer; empty where it is the class's."""
ICE_POINT = "ice_point_C"
"""What that thermometer shows in melting ice; empty where nobody read it."""
NEEDED = (
    "bench",
    *(one.column for one in QUANTITIES.values() if one.needed and one.if_left_out is None),
)
COLUMNS = (
    "bench",
    "run",
    *(quantity.column for quantity in QUANTITIES.values()),
    "set_aside",
    *(f"planned_{quantity.column}" for quantity in _PLANNED),
    STEP,
    ICE_POINT,
)
TOO_FAST = "came_too_fast"
"""A further column: of these runs, those that do not count are no part of the class."""
START_UNIT, END_UNIT = (f"{QUANTITIES[name].name}_unit" for name in ("start_temperature", "end_temperature"))
"""Further columns that say in which unit a temperature was read; empty where nobody knows."""
LARGEST_BYTES = 64 * 1024 * 1024
LARGEST_ROWS = 200_000
_LONGEST_SHOWN = 40
YES, _NO = {"yes", "true", "1", "x"}, {"", "no", "false", "0"}


def run_table_rows(source: str | bytes | Path, more: tuple[str, ...] = ()) -> Iterator[TextRow]:
    """The rows of a table given as text, as bytes, or as the path of a file; with further columns of these
    names where it has them.

    Raises `RunTableProblem` naming row and column where the table cannot be read; a row whose
    numbers are merely odd is kept for the analysis to flag.
    """
    if isinstance(source, Path):
        try:
            with source.open("rb") as file:
                source = file.read(LARGEST_BYTES + 1)
        except OSError as error:
            why = error.strerror or "no reason given"
            raise RunTableProblem(
                N_("%(path)s cannot be read: %(why)s."), path=str(source), why=why
            ) from error
    if len(source) > LARGEST_BYTES:
        raise RunTableProblem(
            N_("This file is larger than %(most)s MB; a run table is not. Give one class's runs."),
            most=str(LARGEST_BYTES // (1024 * 1024)),
        )
    for count, row in enumerate(text_rows(source, (*COLUMNS, START_UNIT, END_UNIT, *more), NEEDED)):
        if count >= LARGEST_ROWS:
            sentence = N_("This table has more than %(most)s runs; give one class's runs at a time.")
            raise RunTableProblem(sentence, row=row.number, most=str(LARGEST_ROWS))
        yield row


def run_table(runs: Iterable[RunReadings]) -> str:
    """The run table's own columns alone: the readings, no name, no reason and no time."""
    return csv_text(COLUMNS, map(run_cells, runs))


def run_cells(run: RunReadings) -> dict[str, Cell]:
    """A run's cells by column: its numbers in the units of the table, digit for digit."""
    return {
        "bench": run.bench,
        "run": run.run,
        **{one.column: shifted(getattr(run, one.si_name), one.shift) for one in QUANTITIES.values()},
        "set_aside": "yes" if run.set_aside else "",
        **{
            f"planned_{one.column}": shifted(getattr(run, f"planned_{one.si_name}"), one.shift)
            for one in _PLANNED
        },
        STEP: shifted(run.thermometer_step_K, 0),
        ICE_POINT: shifted(run.ice_point_C, 0),
    }


def run_of(row: TextRow, numbered: dict[str, int]) -> RunReadings:
    """A row's run. `numbered` counts those of each bench, for runs without a number of their own."""

    def number(column: str, quantity: Quantity, needed: bool) -> float | None:
        cell = row.text(column)
        if not cell and not needed:
            return quantity.if_left_out
        return number_in(cell, column, row, -quantity.shift)

    bench = original_text(row.text("bench"))
    if not bench:
        raise row.problem("bench", N_("Row %(row)s, column %(column)s: the bench's label is missing."))
    numbered[bench] = numbered.get(bench, 0) + 1
    aside = row.text("set_aside").lower()
    if aside not in YES | _NO:
        raise row.problem("set_aside", N_("Row %(row)s, column %(column)s: write yes, or leave it empty."))
    read: dict[str, Any] = {
        one.si_name: number(one.column, one, one.column in NEEDED) for one in QUANTITIES.values()
    }
    _make_whole(read, row)
    planned: dict[str, Any] = {
        f"planned_{one.si_name}": number(f"planned_{one.column}", one, False) for one in _PLANNED
    }
    return RunReadings(
        bench=bench,
        run=original_text(row.text("run")) or str(numbered[bench]),
        **read,
        set_aside=aside in YES,
        **planned,
        thermometer_step_K=_of_thermometer(STEP, row),
        ice_point_C=_of_thermometer(ICE_POINT, row),
        start_read_in=row.text(START_UNIT),
        end_read_in=row.text(END_UNIT),
    )


def _of_thermometer(column: str, row: TextRow) -> float | None:
    """The step of the bench's own thermometer, or what it shows in melting ice."""
    cell = row.text(column)
    if not cell:
        return None
    value = number_in(cell, column, row, 0)
    if column == STEP and not value > 0:
        raise row.problem(
            column, N_("Row %(row)s, column %(column)s: a thermometer's step is more than zero.")
        )
    if column == ICE_POINT and value not in ICE_POINT_C.refused_outside:
        sentence = N_(
            "Row %(row)s, column %(column)s: in melting ice a thermometer shows between −5 and 5 °C."
        )
        raise row.problem(column, sentence)
    return value


def _make_whole(read: dict[str, Any], row: TextRow) -> None:
    """Caps and settled depth make the end allowance where that is left out; else they must add up to it.

    One part alone beside an allowance is kept; without one, nobody knows the other.
    """
    whole, (caps, depth) = QUANTITIES[WHOLE], (QUANTITIES[name] for name in PARTS)
    caps_m, depth_m = read[caps.si_name], read[depth.si_name]
    allowance_given = row.text(whole.column) != ""
    if caps_m is None or depth_m is None:
        if not allowance_given and caps_m is not depth_m:
            raise row.problem(
                caps.column if caps_m is None else depth.column,
                N_(
                    "Row %(row)s, column %(column)s: a number is missing. Caps and settled depth make the "
                    "end allowance only together."
                ),
            )
        return
    if not allowance_given:
        # Added as decimals, so that 2 cm and 5.2 cm are 7.2 cm.
        read[whole.si_name] = float(Decimal(str(caps_m)) + Decimal(str(depth_m)))
    elif not add_up(caps_m, depth_m, read[whole.si_name]):
        raise row.problem(
            whole.column,
            N_(
                "Row %(row)s, column %(column)s: caps and settled depth make %(sum)s cm, not %(allowance)s "
                "cm. Correct one of them, or leave the end allowance empty."
            ),
            sum=short(100 * (caps_m + depth_m), 6),
            allowance=short(100 * read[whole.si_name], 6),
        )


def number_in(text: str, column: str, row: TextRow, shift: int) -> float:
    """The number in a cell times 10^shift, exactly rounded. Raises `RunTableProblem` where it is none."""

    def problem(template: str) -> RunTableProblem:
        shown = text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "…"
        return row.problem(column, template, text=shown)

    if not text:
        raise problem(N_("Row %(row)s, column %(column)s: a number is missing."))
    plain = text.replace("\u2212", "-")
    if NUMBER.fullmatch(plain) is None or len(plain) > 400:
        raise problem(N_("Row %(row)s, column %(column)s: “%(text)s” is not a number."))
    if "," in plain and not row.comma:
        raise problem(
            N_(
                "Row %(row)s, column %(column)s: “%(text)s” has a decimal comma; "
                "part the fields with ; or a tab then."
            )
        )
    value = float(Decimal(plain.replace(",", ".")).scaleb(shift))
    if not isfinite(value):
        raise problem(N_("Row %(row)s, column %(column)s: “%(text)s” is too large to be a reading."))
    return value
