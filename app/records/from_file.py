"""A practical out of a file, before it is in the records: columns by name, without a single id.

Whoever did something is named by a key of `people`, a piece of kit by its place among `pieces`. Runs are in
the order in which they came in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.records.choices import PieceKind

Columns = Mapping[str, Any]
Places = Mapping[PieceKind, int]
"""Which of the file's pieces a bench or a run has of each kind; the first is 0."""


@dataclass(frozen=True)
class RowInFile:
    """One row about something that a person did; `teacher` is that person's key."""

    columns: Columns
    teacher: str | None


@dataclass(frozen=True)
class RunRowInFile(RowInFile):
    """The same about a run: a version or a decision. `order` counts those of the whole practical."""

    order: int


@dataclass(frozen=True)
class RunInFile:
    """A run of a bench, with its versions and decisions in order."""

    bench: int
    columns: Columns
    versions: Sequence[RunRowInFile]
    decisions: Sequence[RunRowInFile]
    pieces: Places


@dataclass(frozen=True)
class KitInFile:
    """What the plan gives a bench of the kit: its number, what was taken from its pieces, and the pieces."""

    columns: Columns
    pieces: Places


@dataclass(frozen=True)
class PracticalInFile:
    """All of a practical. `held` counts the benches, versions and decisions that a held wall shows."""

    key: str
    people: Mapping[str, str]
    teacher: str
    practical: Columns
    bench_plans: Sequence[Columns]
    pieces: Sequence[Columns]
    kits: Sequence[KitInFile]
    benches: Sequence[Columns]
    runs: Sequence[RunInFile]
    results: Sequence[RowInFile]
    history: Sequence[RowInFile]
    held: Mapping[str, int] | None
