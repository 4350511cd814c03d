"""A class's runs as columns of numbers, with fall, energy and warming worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from app.analysis.results import ClassSettings, RunReadings

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

LARGEST_READING = 1e12
"""Readings are held to ± this before they are multiplied, so that nothing overflows. Anything near it
is flagged as impossible long before."""
LEAST_WARMING_K = 1e-6
"""A warming at or below this is no warming: no thermometer shows it, and e/w would be noise."""
LEAST_U_WARMING_K = 1e-6
"""The least uncertainty of a warming, for a thermometer step and reading scatter given as zero."""


@dataclass(frozen=True, slots=True)
class Columns:
    """One entry for each run, in the order given; SI units, temperatures in °C.

    fall h = L − a, specific energy e = g h N, warming w = T2 − T1. `bench_of` is the position of the
    run's bench in `benches` (order of first appearance). `workable` runs have a positive energy;
    `counted` runs are workable and not set aside.
    """

    runs: tuple[RunReadings, ...]
    benches: tuple[str, ...]
    bench_of: Indices
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
    u_warming: float
    u_fall: float

    def only(self, keep: Flags) -> Columns:
        """The same runs with only those of `keep` counted."""
        return Columns(
            self.runs, self.benches, self.bench_of, self.mass, self.length, self.allowance,
            self.inversions, self.start, self.end, self.fall, self.energy, self.warming,
            self.workable, self.counted & keep, self.u_warming, self.u_fall,
        )  # fmt: skip


def columns(runs: Sequence[RunReadings], settings: ClassSettings) -> Columns:
    """The columns of `runs`. u(w) = √2·√(step²/12 + reading sd²); u(h) = length sd."""
    labels: dict[str, int] = {}
    rows = [
        (
            labels.setdefault(run.bench, len(labels)),
            run.shot_mass_kg,
            run.tube_length_m,
            run.end_allowance_m,
            run.inversions,
            run.start_temperature_C,
            run.end_temperature_C,
            run.set_aside,
        )
        for run in runs
    ]
    table = np.array(rows, dtype=np.float64).reshape(len(rows), 8).T
    np.clip(table, -LARGEST_READING, LARGEST_READING, out=table)
    _, mass, length, allowance, inversions, start, end, aside = table
    fall = length - allowance
    energy = settings.gravity_m_per_s2 * fall * inversions
    workable = (fall > 0.0) & (inversions > 0.0) & (energy > 1e-12)
    return Columns(
        runs=tuple(runs),
        benches=tuple(labels),
        bench_of=table[0].astype(np.intp),
        mass=mass,
        length=length,
        allowance=allowance,
        inversions=inversions,
        start=start,
        end=end,
        fall=fall,
        energy=energy,
        warming=end - start,
        workable=workable,
        counted=workable & (aside == 0.0),
        u_warming=max(
            sqrt(2.0 * (settings.thermometer_step_K**2 / 12.0 + settings.reading_sd_K**2)), LEAST_U_WARMING_K
        ),
        u_fall=settings.length_sd_m,
    )


def median_by_bench(values: Floats, bench_of: Indices, benches: int) -> Floats:
    """Median of each bench's values; every bench must have at least one."""
    order = np.lexsort((values, bench_of))
    counts = np.bincount(bench_of, minlength=benches)
    first = np.cumsum(counts) - counts
    ordered = values[order]
    return np.asarray(0.5 * (ordered[first + (counts - 1) // 2] + ordered[first + counts // 2]))
