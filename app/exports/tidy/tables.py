"""The tidy tables all together, and the rows of each that a practical gives."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from app.exports.tidy.class_columns import BENCHES, KIT, PRACTICALS, RESULTS
from app.exports.tidy.class_rows import bench_rows, kit_rows, practical_rows, result_rows
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
    rows: Mapping[str, Callable[[], Iterable[Row]]] = {
        RUNS.name: lambda: run_rows(whole, kept, rehearsal=rehearsal),
        BENCHES.name: lambda: bench_rows(whole, kept),
        RESULTS.name: lambda: result_rows(whole, kept),
        DECISIONS.name: lambda: decision_rows(whole),
        KIT.name: lambda: kit_rows(whole),
        PRACTICALS.name: lambda: practical_rows(whole),
    }
    return rows[table.name]()


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
