"""Runs that came too fast and do not count, bench by bench. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from app.practicals.runs.reading import RunDetails


@dataclass(frozen=True)
class HeldBack:
    """One bench's: those that wait for the teacher, and those that were set aside."""

    bench: int
    waiting: tuple[RunDetails, ...]
    set_aside: tuple[RunDetails, ...]

    @property
    def runs(self) -> tuple[RunDetails, ...]:
        """All of them in their order."""
        return tuple(sorted((*self.waiting, *self.set_aside), key=attrgetter("number")))


def held_back_by_bench(runs: Iterable[RunDetails]) -> tuple[HeldBack, ...]:
    """The runs held back, in the order of bench and number."""
    return tuple(
        HeldBack(
            bench,
            tuple(run for run in of_bench if run.waits),
            tuple(run for run in of_bench if not run.waits),
        )
        for bench, group in groupby(runs, key=attrgetter("bench_number"))
        for of_bench in (tuple(group),)
    )
