"""A class's runs for download: the run table's own columns first, then results, decisions and corrections.

The first columns are exactly what the command `analyse` reads; it passes over the rest. Where a spreadsheet
could take a text for a formula, however it parts the table, an apostrophe is put in; numbers stay numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from app.analysis.readings import RunReadings
from app.analysis.results import RunResult
from app.exports.cells import Cell, calculated, difference, written
from app.exports.run_table import COLUMNS, run_cells

PIECES = ("tube", "thermometer", "balance", "shot_lot")
"""Labels of the pieces of kit with which the run was made; empty where its plan named none."""
MORE_COLUMNS = (
    "class_room_temperature_C",
    "fall_m",
    "specific_energy_J_per_kg",
    "warming_K",
    "apparent_heat_capacity_J_per_kg_K",
    "standard_uncertainty_J_per_kg_K",
    "flags",
    "suspected_slip",
    "decision",
    "decision_reason",
    "decided_by",
    "decided_at",
    "versions",
    "correction_reason",
    "entered_by",
    "first_sent_at",
    "simulated",
    *PIECES,
)


@dataclass(frozen=True)
class TableRun:
    """One run with everything that the download says about it."""

    readings: RunReadings
    worked: RunResult | None
    versions: int
    entered_by: str
    first_sent_at: datetime
    simulated: bool
    class_room_temperature_C: Decimal | None = None
    """Which a run without a room temperature of its own takes."""
    decision: str = ""
    decision_reason: str = ""
    decided_by: str = ""
    decided_at: datetime | None = None
    correction_reason: str = ""
    pieces: Mapping[str, str] = field(default_factory=dict)
    """The labels by their columns in `PIECES`."""


def class_table(runs: Sequence[TableRun]) -> str:
    """The table as comma-separated text with a decimal point."""
    rows = (
        run_cells(run.readings) | {name: _on_one_line(cell) for name, cell in more_cells(run).items()}
        for run in runs
    )
    return written((*COLUMNS, *MORE_COLUMNS), rows)


def run_table(runs: Sequence[RunReadings]) -> str:
    """The run table's own columns alone: the readings, no name, no reason and no time."""
    return written(COLUMNS, map(run_cells, runs))


def more_cells(run: TableRun) -> dict[str, Cell]:
    """What stands beside the readings: numbers as numbers, text as text, None where there is nothing."""
    worked, read = run.worked, run.readings
    slip = worked.suspected_slip if worked else None
    return {
        "class_room_temperature_C": run.class_room_temperature_C,
        "fall_m": difference(read.tube_length_m, read.end_allowance_m) if worked else None,
        "specific_energy_J_per_kg": calculated(worked.specific_energy_J_per_kg) if worked else None,
        "warming_K": difference(read.end_temperature_C, read.start_temperature_C) if worked else None,
        "apparent_heat_capacity_J_per_kg_K": calculated(
            worked.apparent_heat_capacity_J_per_kg_K if worked else None
        ),
        "standard_uncertainty_J_per_kg_K": calculated(
            worked.standard_uncertainty_J_per_kg_K if worked else None
        ),
        "flags": " ".join(flag.rule for flag in worked.flags) if worked else "",
        "suspected_slip": slip.slip if slip else "",
        "decision": run.decision,
        "decision_reason": run.decision_reason,
        "decided_by": run.decided_by,
        "decided_at": run.decided_at,
        "versions": run.versions,
        "correction_reason": run.correction_reason,
        "entered_by": run.entered_by,
        "first_sent_at": run.first_sent_at,
        "simulated": "yes" if run.simulated else "",
        **{column: run.pieces.get(column, "") for column in PIECES},
    }


def _on_one_line(cell: Cell) -> Cell:
    return " ".join(cell.split()) if isinstance(cell, str) else cell
