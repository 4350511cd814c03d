"""The tidy tables all together, and the rows of each that a practical gives."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from app.exports.tidy.class_columns import BENCHES, PRACTICALS, RESULTS
from app.exports.tidy.class_rows import bench_rows, practical_row, result_row
from app.exports.tidy.column import Table
from app.exports.tidy.columns import DECISIONS, RUNS
from app.exports.tidy.rows import KeptFigures, Row, decision_rows, run_rows
from app.records.whole import WholePractical

TABLES = (RUNS, BENCHES, RESULTS, DECISIONS, PRACTICALS)
METADATA = "csv-metadata.json"
"""Where CSV on the Web looks for the metadata of the files of a folder ("Default Locations")."""


def file_of(table: Table) -> str:
    """The name of a table's file."""
    return f"{table.name}.csv"


def rows_of(
    table: Table, whole: WholePractical, kept: KeptFigures | None, *, rehearsal: bool = False
) -> Iterable[Row]:
    """What a practical gives to a table; in a rehearsal simulated runs."""
    if table is RUNS:
        return run_rows(whole, kept, rehearsal=rehearsal)
    return _ROWS[table.name](whole, kept)


def _result_rows(whole: WholePractical, kept: KeptFigures | None) -> Iterable[Row]:
    row = result_row(whole, kept)
    return () if row is None else (row,)


_ROWS: Mapping[str, Callable[[WholePractical, KeptFigures | None], Iterable[Row]]] = MappingProxyType(
    {
        BENCHES.name: bench_rows,
        RESULTS.name: _result_rows,
        DECISIONS.name: lambda whole, _kept: decision_rows(whole),
        PRACTICALS.name: lambda whole, _kept: (practical_row(whole),),
    }
)
