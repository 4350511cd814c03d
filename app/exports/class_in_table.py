"""Classes in a table: a run table whose further columns say which practical a run is of, and what it shares.

The table of runs that goes out (`app.exports.tidy`) is one; a run table without such columns is one class.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from pathlib import Path

from app.analysis.readings import ClassSettings, RunReadings
from app.exports.cells import original_text
from app.exports.run_table import TOO_FAST, YES, number_in, run_of, run_table_rows
from app.exports.table_text import TextRow
from app.exports.tidy.column import Kind
from app.exports.tidy.columns import FIELDS_OF_SHARED, OF_PRACTICAL, ROOM, SHARED
from app.words import N_

KEY, DAY, TITLE = (column.name for column in OF_PRACTICAL)
_SETTINGS = {one.name for one in fields(ClassSettings)}


def _fields_by_column(kind: Kind) -> dict[str, str]:
    named = {one.name: FIELDS_OF_SHARED.get(one.name, one.name) for one in SHARED if one.kind is kind}
    return {column: name for column, name in named.items() if name in _SETTINGS}


WORDS = _fields_by_column(Kind.TEXT)
NUMBERS = _fields_by_column(Kind.DECIMAL) | {ROOM: "room_temperature_C"}
"""The columns of what a class shares, and their fields of `ClassSettings`."""
ABOVE_ZERO = {"accepted_J_per_kg_K", "gravity_m_per_s2"}


@dataclass
class ClassInTable:
    """One practical's runs; `shared` is what the table says that they share, by fields of `ClassSettings`."""

    key: str
    day: str
    title: str
    shared: Mapping[str, float | str]
    runs: list[RunReadings] = field(default_factory=list)

    def is_called(self, chosen: str) -> bool:
        """Whether this is the practical of that key (or its beginning), title or day."""
        return chosen in (self.title, self.day) or bool(self.key and self.key.startswith(chosen))


def classes_in_table(source: str | bytes | Path) -> Sequence[ClassInTable]:
    """The practicals of a table in the order in which they come. Raises `RunTableProblem`.

    A run that came too fast and that nobody has let count is left out, as it is of the class's result.
    """
    found: dict[str, ClassInTable] = {}
    numbered: dict[str, dict[str, int]] = {}
    texts: dict[str, dict[str, str]] = {}
    for row in run_table_rows(source, (KEY, DAY, TITLE, TOO_FAST, *WORDS, *NUMBERS)):
        key = row.text(KEY)
        said = {column: row.text(column) for column in (*WORDS, *NUMBERS)}
        if key not in found:
            found[key] = ClassInTable(key, row.text(DAY), original_text(row.text(TITLE)), _shared(row))
            numbered[key], texts[key] = {}, said
        elif said != texts[key]:
            raise _differ(row, said, texts[key])
        run = run_of(row, numbered[key])
        if not (run.set_aside and row.text(TOO_FAST).lower() in YES):
            found[key].runs.append(run)
    return list(found.values())


def _shared(row: TextRow) -> dict[str, float | str]:
    shared: dict[str, float | str] = {
        name: original_text(text) for column, name in WORDS.items() if (text := row.text(column))
    }
    for column, name in NUMBERS.items():
        text = row.text(column)
        if not text:
            continue
        value = number_in(text, column, row, 0)
        if column in ABOVE_ZERO and not value > 0:
            raise row.problem(column, N_("Row %(row)s, column %(column)s: this must be more than zero."))
        if column != ROOM and value < 0:
            raise row.problem(column, N_("Row %(row)s, column %(column)s: this cannot be less than zero."))
        shared[name] = value
    return shared


def _differ(row: TextRow, said: Mapping[str, str], before: Mapping[str, str]) -> Exception:
    column = next(name for name in said if said[name] != before[name])
    sentence = N_(
        "Row %(row)s, column %(column)s: the runs of one practical share one value, but the row says %(text)s"
        " and an earlier one %(before)s."
    )
    return row.problem(column, sentence, text=said[column] or "nothing", before=before[column] or "nothing")
