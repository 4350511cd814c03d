"""A practical out of a file, before it is in the records: columns by name, without a single id.

Whoever did something is named by a key of `people`. Runs are in the order in which they came in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Columns = Mapping[str, Any]


@dataclass(frozen=True)
class Told:
    """One row about something that a person did; `teacher` is that person's key."""

    columns: Columns
    teacher: str | None


@dataclass(frozen=True)
class ToldOfRun(Told):
    """The same about a run: a version or a decision. `order` counts those of the whole practical."""

    order: int


@dataclass(frozen=True)
class RunInFile:
    """A run of a bench, with its versions and decisions in order."""

    bench: int
    columns: Columns
    versions: Sequence[ToldOfRun]
    decisions: Sequence[ToldOfRun]


@dataclass(frozen=True)
class PracticalInFile:
    """All of a practical. `held` counts the benches, versions and decisions that a held wall shows."""

    key: str
    people: Mapping[str, str]
    teacher: str
    practical: Columns
    bench_plans: Sequence[Columns]
    benches: Sequence[Columns]
    runs: Sequence[RunInFile]
    results: Sequence[Told]
    history: Sequence[Told]
    held: Mapping[str, int] | None
