"""A class's runs for download: the run table's own columns first, then results, decisions and corrections.

The first columns are exactly what the command `analyse` reads; it passes over the rest. A text that a
spreadsheet could take for a formula is escaped; numbers stay numbers.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from app.analysis.results import RunReadings, RunResult
from app.exports.run_table import COLUMNS, safe_text, write_run_table

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


def more_cells(run: TableRun) -> dict[str, str | float | None]:
    """What stands beside the readings: numbers as numbers, text as text, None where there is nothing."""
    worked = run.worked
    slip = worked.suspected_slip if worked else None
    return {
        "fall_m": worked.fall_m if worked else None,
        "specific_energy_J_per_kg": worked.specific_energy_J_per_kg if worked else None,
        "warming_K": worked.warming_K if worked else None,
        "apparent_heat_capacity_J_per_kg_K": worked.apparent_heat_capacity_J_per_kg_K if worked else None,
        "standard_uncertainty_J_per_kg_K": worked.standard_uncertainty_J_per_kg_K if worked else None,
        "flags": " ".join(flag.rule for flag in worked.flags) if worked else "",
        "suspected_slip": slip.slip if slip else "",
        "decision": run.decision,
        "decision_reason": run.decision_reason,
        "decided_by": run.decided_by,
        "decided_at": _time(run.decided_at),
        "versions": float(run.versions),
        "correction_reason": run.correction_reason,
        "entered_by": run.entered_by,
        "first_sent_at": _time(run.first_sent_at),
        "simulated": "yes" if run.simulated else "",
    }


def _time(moment: datetime | None) -> str:
    """ISO 8601 to the second, in UTC."""
    return "" if moment is None else moment.isoformat(timespec="seconds")


def _text(cell: str | float | None) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.10g}"
    return safe_text(" ".join(cell.split()))
