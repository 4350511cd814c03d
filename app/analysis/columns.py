"""A class's runs as columns of numbers, with fall, energy and warming worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter

import numpy as np
from numpy.typing import NDArray

from app.analysis.readings import ClassSettings, RunReadings
from app.physics.energy import fall, specific_fall_energy, warming
from app.physics.limits import LEAST_FALL_M
from app.physics.uncertainty import warming_uncertainty
from app.statistics.domain import Floats

Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

LARGEST_READING = 1e12
"""Readings are held to ± this before they are multiplied, so that nothing overflows. Anything near it
is flagged as impossible long before (our own choice)."""
LEAST_WARMING_K = 1e-6
"""A warming at or below this is no warming: no thermometer shows it, and e/w would be noise (our own
choice)."""
LEAST_U_WARMING_K = 1e-6
"""The least uncertainty of a warming, for a thermometer step and reading scatter given as zero (our own
choice)."""


MASS, LENGTH, ALLOWANCE, INVERSIONS, START, END, FALL = range(7)
"""Rows of `Columns.table`, in an order of our own choice."""
_READINGS = attrgetter(
    "shot_mass_kg",
    "tube_length_m",
    "end_allowance_m",
    "inversions",
    "start_temperature_C",
    "end_temperature_C",
)
"""A run's readings in the order of the rows."""


@dataclass(frozen=True)
class Counted:
    """The counted runs alone: one entry for each, in the order given."""

    bench: Indices
    energy: Floats
    warming: Floats
    u_warming: Floats
    mass: Floats
    fall: Floats


@dataclass(frozen=True)
class Columns:
    """One entry for each run, in the order given; SI units, temperatures in °C.

    fall h = L − a, specific energy e = g h N, warming w = T2 − T1. `table` has mass, length, allowance,
    inversions, start, end and fall once more, as its rows. `bench_of` is the position of the run's bench in
    `benches` (order of first appearance). `workable` runs have a positive energy; `counted` runs are
    workable and not set aside. `ice_point` is what the run's thermometer shows in melting ice, 0 where nobody
    read it; it is in no other column. What several steps of the analysis ask for is worked out once, when
    asked.
    """

    runs: tuple[RunReadings, ...]
    benches: tuple[str, ...]
    bench_of: Indices
    table: Floats
    mass: Floats
    length: Floats
    allowance: Floats
    inversions: Floats
    start: Floats
    end: Floats
    fall: Floats
    energy: Floats
    warming: Floats
    workable: Flags
    counted: Flags
    thermometer_step: Floats
    ice_point: Floats
    u_warming: Floats
    u_fall: float

    @cached_property
    def taken(self) -> Counted:
        """The counted runs."""
        at = self.counted
        return Counted(
            bench=self.bench_of[at],
            energy=self.energy[at],
            warming=self.warming[at],
            u_warming=self.u_warming[at],
            mass=self.mass[at],
            fall=self.fall[at],
        )

    @cached_property
    def apparent(self) -> tuple[Indices, Floats]:
        """Bench and c* = e/w of each counted run that shows a warming."""
        warm = self.taken.warming > LEAST_WARMING_K
        return self.taken.bench[warm], self.taken.energy[warm] / self.taken.warming[warm]

    @cached_property
    def end_before(self) -> Floats:
        """Where the run before at the same bench ended, in the order given; −∞ for a bench's first run."""
        ended: dict[int, float] = {}
        out = np.full(len(self.runs), -np.inf)
        for i, (bench, end) in enumerate(zip(self.bench_of.tolist(), self.end.tolist(), strict=True)):
            out[i] = ended.get(bench, -np.inf)
            ended[bench] = end
        return out


def columns(runs: Sequence[RunReadings], settings: ClassSettings) -> Columns:
    """The columns of `runs`. u(w) = √2·√(step²/12 + reading sd²); u(h) = length sd."""
    labels: dict[str, int] = {}
    bench_of = [labels.setdefault(run.bench, len(labels)) for run in runs]
    table = np.empty((7, len(runs)))
    for at, run in enumerate(runs):
        table[:FALL, at] = np.clip(_READINGS(run), -LARGEST_READING, LARGEST_READING)
    table[FALL] = fall(table[LENGTH], table[ALLOWANCE])
    energy = specific_fall_energy(table[FALL], table[INVERSIONS], settings.gravity_m_per_s2)
    workable = (table[FALL] >= LEAST_FALL_M) & (energy > 1e-12)
    of_class = settings.thermometer_step_K
    steps = np.array(
        [of_class if run.thermometer_step_K is None else run.thermometer_step_K for run in runs],
        dtype=np.float64,
    ).clip(max=LARGEST_READING)
    ice_points = np.array([run.ice_point_C or 0.0 for run in runs], dtype=np.float64)
    aside = np.array([run.set_aside for run in runs], dtype=np.bool_)
    return Columns(
        runs=tuple(runs),
        benches=tuple(labels),
        bench_of=np.array(bench_of, dtype=np.intp),
        table=table,
        mass=table[MASS],
        length=table[LENGTH],
        allowance=table[ALLOWANCE],
        inversions=table[INVERSIONS],
        start=table[START],
        end=table[END],
        fall=table[FALL],
        energy=energy,
        warming=warming(table[START], table[END]),
        workable=workable,
        counted=workable & ~aside,
        thermometer_step=steps,
        ice_point=ice_points.clip(-LARGEST_READING, LARGEST_READING),
        u_warming=np.maximum(warming_uncertainty(steps, settings.reading_sd_K), LEAST_U_WARMING_K),
        u_fall=settings.length_sd_m,
    )


def medians(values: Floats, groups: Indices) -> Floats:
    """The median of each group's values, by ascending number of the group."""
    return np.array([np.median(values[groups == group]) for group in np.unique(groups)], dtype=np.float64)
