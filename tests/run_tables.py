"""Run tables as the product writes them, without the columns that only a download has."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from app.analysis.readings import RunReadings
from app.exports.cells import csv_text
from app.exports.class_in_table import classes_in_table
from app.exports.run_table import COLUMNS, run_cells


def write_run_table(runs: Iterable[RunReadings]) -> str:
    """The runs as text that `read_run_table` reads."""
    return csv_text(COLUMNS, map(run_cells, runs))


def read_run_table(source: str | bytes | Path) -> list[RunReadings]:
    """The runs of a table, as the command reads them."""
    return [run for one in classes_in_table(source) for run in one.runs]
