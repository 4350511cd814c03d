"""The document of one practical: each of its rows under the names of their columns.

Times are UTC, exact to the microsecond, decimals exact to the digit. Rows of other tables are named by keys
(`app.records.keys`), never by ids; pieces of kit by numbers of the document's own. `order` counts the
benches, versions and decisions of the practical as they came in. A practical that did not change gives the
same document again.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import Column, RowMapping

from app.physics.run import QUANTITIES
from app.records.base import Base, ExactDecimal
from app.records.choices import HistoryKind, PieceKind
from app.records.keys import bench_key, person_key, practical_key
from app.records.models import (
    Bench,
    BenchKit,
    BenchPlan,
    Decision,
    HeldBoard,
    KeptResult,
    KitPiece,
    Practical,
    Run,
    RunVersion,
    StateChange,
)
from app.records.models.kit import PIECE_COLUMNS
from app.records.whole import AnyRow, WholePractical, table_of

FORMAT, FORMAT_VERSION = "plumbfall-practical", 1
SCHEMA = "practical-1.schema.json"
"""The file in `static/formats` that says what a document holds."""

_ROW = frozenset({"id", "practical_id", "bench_id", "run_id", "teacher_id"})
_READINGS = frozenset(
    name for one in QUANTITIES.values() for name in (f"{one.name}_text", f"{one.name}_unit", one.si_name)
)
LEFT_OUT: Mapping[type[Base], frozenset[str]] = {
    # Which Wi-Fi phones joined says nothing of the readings; a hotspot's name may be a person's.
    Practical: frozenset({"department_id", "join_code", "wifi_name"}),
    BenchPlan: frozenset(),
    # Which pieces they are is written as `pieces`. A piece is found in another department by its label.
    BenchKit: frozenset(PIECE_COLUMNS),
    KitPiece: frozenset({"department_id", "label_key", "created_at", "retired_at"}),
    # How phones get in, and what holds those back that send too fast.
    Bench: frozenset({"bench_key", "open_to_a_phone", "busy_until"}),
    # The digests are those of what was typed, which is there; the key is written as `key`.
    Run: frozenset({"body_digest", "idempotency_key", *PIECE_COLUMNS}),
    RunVersion: frozenset({"body_digest", "idempotency_key"}) | _READINGS,
    Decision: frozenset(),
    StateChange: frozenset(),
    HeldBoard: frozenset({"version_id", "decision_id"}),
    KeptResult: frozenset(),
}
"""The columns that stand under another name, in another way or not at all, beside those of `_ROW`."""


def document(whole: WholePractical, software: str) -> dict[str, Any]:
    """The document, made of mappings, lists, texts, whole numbers and decimals."""
    return _Written(whole).document(software)


def key_of(whole: WholePractical) -> str:
    """The practical's key."""
    came_with = (row.detail for row in whole.changes if row.kind == HistoryKind.BROUGHT_IN)
    return practical_key(whole.practical["id"], whole.practical["created_at"], next(came_with, None))


class _Written:
    """One practical while its document is made; it notes which people are named."""

    def __init__(self, whole: WholePractical) -> None:
        self.whole, self.key = whole, key_of(whole)
        self.named: dict[str, str] = {}
        self.piece_keys = _piece_keys(whole)

    def document(self, software: str) -> dict[str, Any]:
        whole = self.whole
        practical = {"teacher": self._person(whole.practical["teacher_id"])} | _cells(
            Practical, whole.practical
        )
        benches = self._benches()
        history = [
            {**_cells(StateChange, row._mapping), "teacher": self._person(row.teacher_id)}
            for row in whole.changes
        ]
        results = [
            {"teacher": self._person(row.teacher_id), **_cells(KeptResult, row._mapping)}
            for row in whole.results
        ]
        return {
            "format": FORMAT,
            "format_version": FORMAT_VERSION,
            "software": software,
            "key": self.key,
            "department": whole.department,
            "people": [{"key": key, "name": name} for key, name in sorted(self.named.items())],
            "practical": practical,
            "bench_plans": [_cells(BenchPlan, row._mapping) for row in whole.bench_plans],
            "pieces": [self._piece(key, whole.kit[one]) for one, key in self.piece_keys.items()],
            "bench_kits": [
                {**_cells(BenchKit, row._mapping), "pieces": self._pieces_of(row)} for row in whole.kits
            ],
            "benches": benches,
            "results": results,
            "history": history,
            "held_wall": self._held(),
        }

    def _benches(self) -> list[dict[str, Any]]:
        whole = self.whole
        versions = _by(whole.versions, "run_id", self._version)
        decisions = _by(whole.decisions, "run_id", self._decision)
        runs: dict[int, list[dict[str, Any]]] = defaultdict(list)
        for row in whole.runs:
            run = {"key": row.idempotency_key, **_cells(Run, row._mapping)}
            run |= {"pieces": self._pieces_of(row)}
            run |= {"versions": versions[row.id], "decisions": decisions[row.id]}
            runs[row.bench_id].append(run)
        return [
            {
                "key": bench_key(self.key, row.number),
                "order": order,
                **_cells(Bench, row._mapping),
                "runs": runs[row.id],
            }
            for order, row in enumerate(whole.benches, 1)
        ]

    def _version(self, order: int, row: AnyRow) -> dict[str, Any]:
        cells = row._mapping
        readings = {
            name: {
                "typed": typed,
                "unit": cells.get(f"{name}_unit", ""),
                "value": _plain(cells[one.si_name], exact=bool(one.units)),
            }
            for name, one in QUANTITIES.items()
            if (typed := cells[f"{name}_text"]) is not None
        }
        return {
            "order": order,
            "key": row.idempotency_key,
            "teacher": self._person(row.teacher_id),
            "readings": readings,
            **_cells(RunVersion, cells),
        }

    def _decision(self, order: int, row: AnyRow) -> dict[str, Any]:
        return {"order": order, "teacher": self._person(row.teacher_id), **_cells(Decision, row._mapping)}

    def _piece(self, key: int, row: AnyRow) -> dict[str, Any]:
        return {"key": key, **_cells(KitPiece, row._mapping), "retired": row.retired_at is not None}

    def _pieces_of(self, row: AnyRow) -> dict[str, int]:
        """The keys of the pieces that a bench's kit or a run names, by their kinds."""
        named = zip(PieceKind, (row._mapping[name] for name in PIECE_COLUMNS), strict=True)
        return {kind.value: self.piece_keys[one] for kind, one in named if one is not None}

    def _held(self) -> dict[str, int] | None:
        """How many benches, versions and decisions a held wall shows, counted as they came in."""
        held, whole = self.whole.held, self.whole
        if held is None:
            return None
        shown = {
            "benches": (whole.benches, held.bench_id),
            "versions": (whole.versions, held.version_id),
            "decisions": (whole.decisions, held.decision_id),
        }
        return {name: sum(row.id <= last for row in rows) for name, (rows, last) in shown.items()}

    def _person(self, teacher_id: int | None) -> str | None:
        person = None if teacher_id is None else self.whole.people.get(teacher_id)
        if person is None:
            return None
        key = person_key(person.teacher_id, person.created_at, person.brought_in_as)
        self.named[key] = person.name
        return key


def _piece_keys(whole: WholePractical) -> dict[int, int]:
    """The keys of the pieces by their ids: numbered as the plan, then the runs, first name them."""
    rows = itertools.chain(whole.kits, whole.runs)
    named = dict.fromkeys(row._mapping[name] for row in rows for name in PIECE_COLUMNS)
    return {one: key for key, one in enumerate((one for one in named if one is not None), 1)}


def _by(
    rows: Sequence[AnyRow], name: str, made: Callable[[int, AnyRow], dict[str, Any]]
) -> dict[int, list[dict[str, Any]]]:
    """What is made of each row and its place, by the id under this name."""
    found: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for order, row in enumerate(rows, 1):
        found[row._mapping[name]].append(made(order, row))
    return found


def _cells(model: type[Base], row: RowMapping) -> dict[str, Any]:
    """A row's cells by the names of their columns, without those that stand elsewhere."""
    return {name: _plain(row[name], exact=exact) for name, exact in _NAMES[model]}


def _plain(value: Any, *, exact: bool) -> Any:
    """A cell as JSON has it."""
    if value is None:
        return None
    if exact:
        return Decimal(value)
    if isinstance(value, datetime):
        return value.isoformat(timespec="microseconds").replace("+00:00", "Z")
    return value.isoformat() if isinstance(value, date) else value


def columns_in(model: type[Base]) -> list[Column[Any]]:
    """The columns of a table that a document has under their own names."""
    return [one for one in table_of(model).columns if one.key not in _ROW | LEFT_OUT[model]]


_NAMES = {
    model: [(column.key, isinstance(column.type, ExactDecimal)) for column in columns_in(model)]
    for model in LEFT_OUT
}
