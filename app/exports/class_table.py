"""A class's runs for download: the run table's own columns first, then results, decisions and corrections.

The first columns are exactly what the command `analyse` reads; it passes over the rest. Where a spreadsheet
could take a text for a formula, however it parts the table, an apostrophe is put in; numbers stay numbers.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from app.analysis.results import RunReadings, RunResult
from app.exports.run_table import COLUMNS, shifted, write_run_table
from app.exports.safe_text import safe_text

Cell = str | int | Decimal | datetime | None
"""What stands in one cell. Decimals are written digit for digit; moments know their zone."""

MORE_COLUMNS = (
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
    decision: str = ""
    decision_reason: str = ""
    decided_by: str = ""
    decided_at: datetime | None = None
    correction_reason: str = ""


def class_table(runs: Sequence[TableRun]) -> str:
    """The table as comma-separated text with a decimal point."""
    plain = csv.reader(io.StringIO(write_run_table([run.readings for run in runs])))
    next(plain)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([*COLUMNS, *MORE_COLUMNS])
    for first, run in zip(plain, runs, strict=True):
        more = more_cells(run)
        writer.writerow([*first, *(_text(more[name]) for name in MORE_COLUMNS)])
    return out.getvalue()


def more_cells(run: TableRun) -> dict[str, Cell]:
    """What stands beside the readings: numbers as numbers, text as text, None where there is nothing."""
    worked, read = run.worked, run.readings
    slip = worked.suspected_slip if worked else None
    return {
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
    }


def difference(larger: float, smaller: float) -> Decimal:
    """The difference of two readings, with the decimals that were read: 21.4 − 19.3 is 2.1."""
    return shifted(larger, 0) - shifted(smaller, 0)


def calculated(value: float | None) -> Decimal | None:
    """A figure that was worked out, to ten significant digits, which is past any uncertainty here."""
    return None if value is None else Decimal(f"{value:.10g}")


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.isoformat(timespec="seconds")  # ISO 8601, in UTC as it is kept
    if isinstance(cell, int | Decimal):
        return f"{cell.normalize():f}" if isinstance(cell, Decimal) else str(cell)
    return safe_text(" ".join(cell.split()))
