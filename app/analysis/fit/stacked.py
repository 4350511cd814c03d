"""The counted runs of a class, stacked: benches with the same number of runs side by side.

Within a bench the oddest run comes first (its warming per energy is farthest from the bench's median), so
that one table of "which runs are like the others" serves every bench of the same size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product

import numpy as np

from app.analysis.columns import Columns, Indices
from app.analysis.readings import ClassSettings, RunReadings
from app.statistics.domain import Floats

ALL_SUBSETS_UP_TO = 4  # our own choice
"""Benches of so many runs: every subset of them may be unlike the others."""
MOST_CANDIDATES = 8  # our own choice
"""In larger benches, pairs of unlike runs are considered among so many of the oddest only."""
LEAST_MASS_KG = 1e-6  # our own choice


@dataclass(frozen=True)
class Stack:
    """The benches that have n runs each; arrays of shape (benches, n) unless said otherwise."""

    bench: Indices
    """Position of each bench among the benches of the class, shape (benches,)."""
    run: Indices
    """Position of each run among all runs given."""
    energy_J_per_kg: Floats
    warming_K: Floats
    per_mass: Floats
    """1/m in 1/kg."""
    inversions: Floats
    start_above_room_K: Floats
    """0 where no room temperature is known."""
    u_warming_K: Floats
    """Standard uncertainty of each warming, from its own thermometer."""
    alike: Floats
    """One row for each case, one column for each run: 1 where the run is like the others; shape (cases,
    n)."""

    @property
    def bench_per_mass(self) -> Floats:
        """The median of the runs' 1/m, shape (benches,)."""
        return np.asarray(np.median(self.per_mass, axis=1))


def stacked(cols: Columns, settings: ClassSettings) -> tuple[Stack, ...]:
    """One stack for each number of counted runs that a bench has, the fewest runs first."""
    at = np.flatnonzero(cols.counted)
    slope = cols.warming / np.where(cols.counted, cols.energy, 1.0)
    of_bench: dict[int, list[list[int]]] = {}
    for bench in np.unique(cols.bench_of[at]):
        runs = at[cols.bench_of[at] == bench]
        oddness = np.abs(slope[runs] - np.median(slope[runs]))
        # Ties are broken by the readings, so that the order in which the runs were given does not matter.
        order = np.lexsort((cols.end[runs], cols.start[runs], cols.inversions[runs], -oddness))
        of_bench.setdefault(len(runs), []).append(runs[order].tolist())
    theta = above_room(cols, settings)
    return tuple(
        _stack(cols, theta, np.array(of_bench[n], dtype=np.intp), which_are_alike(n))
        for n in sorted(of_bench)
    )


def in_one_row(cols: Columns, settings: ClassSettings) -> Stack:
    """All runs given, side by side as if they were one bench's: for what depends on no bench."""
    every = np.arange(len(cols.runs))[None]
    return _stack(cols, above_room(cols, settings), every, np.ones(every.shape))


def _stack(cols: Columns, theta: Floats | None, run: Indices, alike: Floats) -> Stack:
    """The runs at these positions, shape (benches, n); the first run of a row says which bench it is.

    `theta` is each run's start above the room in K, None where no room temperature is known.
    """
    return Stack(
        bench=cols.bench_of[run[:, 0]],
        run=run,
        energy_J_per_kg=cols.energy[run],
        warming_K=cols.warming[run],
        per_mass=1.0 / np.maximum(cols.mass[run], LEAST_MASS_KG),
        inversions=cols.inversions[run],
        start_above_room_K=np.zeros(run.shape) if theta is None else theta[run],
        u_warming_K=cols.u_warming[run],
        alike=alike,
    )


@lru_cache(maxsize=64)
def which_are_alike(n: int) -> Floats:
    """The cases considered for a bench of n runs, oddest run first: 1 for a run like the others, else 0.

    Up to four runs: all 2ⁿ subsets. Beyond: none, one or two unlike among the eight oddest, and the three,
    four, …, n oddest, so that a bench with many slips is described by some case too.
    """
    if n <= ALL_SUBSETS_UP_TO:
        return np.array(list(product((1.0, 0.0), repeat=n)))
    candidates = range(min(n, MOST_CANDIDATES))
    unlike: list[Sequence[int]] = [(), *((i,) for i in candidates), *combinations(candidates, 2)]
    unlike.extend(range(many) for many in range(3, n + 1))
    cases = np.ones((len(unlike), n))
    for row, runs in zip(cases, unlike, strict=True):
        row[list(runs)] = 0.0
    return cases


def above_room(cols: Columns, settings: ClassSettings) -> Floats | None:
    """Each run's start temperature above the room, or None where no room temperature is known at all.

    The start is read on the bench's own thermometer and the class's room on another, so that what the bench's
    shows in melting ice, δ, is taken off the start first: T1 − δ − T_room. The warming, a difference of two
    of its readings, has no δ in it and stays as read, and so does half of it above the room. One point does
    not show an error of the scale: that has a line of its own in the budget.
    """
    rooms = room_temperatures(cols, settings)
    return None if rooms is None else np.asarray(np.clip(cols.start - cols.ice_point - rooms, -1e3, 1e3))


def room_temperatures(cols: Columns, settings: ClassSettings) -> Floats | None:
    """The room temperature at each run in °C, or None where none is known at all.

    A run without one takes the class's. One of its own was read on the bench's own thermometer, which is as
    far off for the room as for the shot: their difference is as read, and the room is less by δ too.
    """
    of_class = room_of_class(cols, settings)
    if of_class is None:
        return None
    given = [_own_room(run) for run in cols.runs]
    return np.array([of_class if value is None else value for value in given], dtype=np.float64)


def room_of_class(cols: Columns, settings: ClassSettings) -> float | None:
    """The class's room temperature, and without one the median of its counted runs' own: it is one room."""
    if settings.room_temperature_C is not None:
        return settings.room_temperature_C
    known = [
        room
        for run, counted in zip(cols.runs, cols.counted.tolist(), strict=True)
        if counted and (room := _own_room(run)) is not None
    ]
    return float(np.median(known)) if known else None


def _own_room(run: RunReadings) -> float | None:
    room = run.room_temperature_C
    return None if room is None else room - (run.ice_point_C or 0.0)
