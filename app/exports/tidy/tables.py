"""The tidy tables all together, and the rows of each that a practical gives."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from app.exports.tidy.class_columns import BENCHES, KIT, PRACTICALS, RESULTS
from app.exports.tidy.class_rows import bench_rows, kit_rows, practical_row, result_row
from app.exports.tidy.column import Table
from app.exports.tidy.columns import DECISIONS, RUNS
from app.exports.tidy.rows import KeptFigures, Row, decision_rows, run_rows
from app.records.whole import WholePractical

TABLES = (RUNS, BENCHES, RESULTS, DECISIONS, KIT, PRACTICALS)
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
        KIT.name: lambda whole, _kept: kit_rows(whole),
        DECISIONS.name: lambda whole, _kept: decision_rows(whole),
        PRACTICALS.name: lambda whole, _kept: (practical_row(whole),),
    }
)


class Once:
    """Lets each row of a table whose rows are shared through once, by its key."""

    def __init__(self, table: Table) -> None:
        self._places = [table.names.index(name) for name in table.key] if table.shared else []
        self._seen: set[Row] = set()

    def __call__(self, rows: Iterable[Row]) -> Iterable[Row]:
        """The rows that did not come before."""
        if not self._places:
            return rows
        return [row for row in rows if self._is_new(tuple(row[place] for place in self._places))]

    def _is_new(self, key: Row) -> bool:
        new = key not in self._seen
        self._seen.add(key)
        return new
