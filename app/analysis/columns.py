"""A class's runs as columns of numbers, with fall, energy and warming worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
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


MASS, LENGTH, ALLOWANCE, INVERSIONS, START, END, FALL = range(7)
"""Rows of `Columns.table`."""


@dataclass(frozen=True, slots=True)
class Columns:
    """One entry for each run, in the order given; SI units, temperatures in °C.

    fall h = L − a, specific energy e = g h N, warming w = T2 − T1. `table` has a row for each of mass,
    length, allowance, inversions, start, end and fall. `bench_of` is the position of the run's bench in
    `benches` (order of first appearance). `workable` runs have a positive energy; `counted` runs are
    workable and not set aside.
    """

    runs: tuple[RunReadings, ...]
    benches: tuple[str, ...]
    bench_of: Indices
    table: Floats
    energy: Floats
    warming: Floats
    workable: Flags
    counted: Flags
    u_warming: float
    u_fall: float

    @property
    def mass(self) -> Floats:
        row: Floats = self.table[MASS]
        return row

    @property
    def length(self) -> Floats:
        row: Floats = self.table[LENGTH]
        return row

    @property
    def allowance(self) -> Floats:
        row: Floats = self.table[ALLOWANCE]
        return row

    @property
    def inversions(self) -> Floats:
        row: Floats = self.table[INVERSIONS]
        return row

    @property
    def start(self) -> Floats:
        row: Floats = self.table[START]
        return row

    @property
    def end(self) -> Floats:
        row: Floats = self.table[END]
        return row

    @property
    def fall(self) -> Floats:
        row: Floats = self.table[FALL]
        return row

    def only(self, keep: Flags) -> Columns:
        """The same runs with only those of `keep` counted."""
        return replace(self, counted=self.counted & keep)


def columns(runs: Sequence[RunReadings], settings: ClassSettings) -> Columns:
    """The columns of `runs`. u(w) = √2·√(step²/12 + reading sd²); u(h) = length sd."""
    labels: dict[str, int] = {}
    rows = [
        (
            run.shot_mass_kg,
            run.tube_length_m,
            run.end_allowance_m,
            run.inversions,
            run.start_temperature_C,
            run.end_temperature_C,
            0.0,
            run.set_aside,
            labels.setdefault(run.bench, len(labels)),
        )
        for run in runs
    ]
    all_columns = np.ascontiguousarray(np.array(rows, dtype=np.float64).reshape(len(rows), 9).T)
    table = all_columns[:7]
    np.minimum(table, LARGEST_READING, out=table)
    np.maximum(table, -LARGEST_READING, out=table)
    np.subtract(table[LENGTH], table[ALLOWANCE], out=table[FALL])
    energy = settings.gravity_m_per_s2 * table[FALL] * table[INVERSIONS]
    workable = (table[FALL] > 0.0) & (energy > 1e-12)
    return Columns(
        runs=tuple(runs),
        benches=tuple(labels),
        bench_of=all_columns[8].astype(np.intp),
        table=table,
        energy=energy,
        warming=table[END] - table[START],
        workable=workable,
        counted=workable & (all_columns[7] == 0.0),
        u_warming=max(
            sqrt(2.0 * (settings.thermometer_step_K**2 / 12.0 + settings.reading_sd_K**2)), LEAST_U_WARMING_K
        ),
        u_fall=settings.length_sd_m,
    )


def row_medians(rows: Floats) -> Floats:
    """Median of each row of a table without NaN and with at least one column."""
    ordered = np.sort(rows, axis=1)
    half = rows.shape[1] // 2
    return ordered[:, half] if rows.shape[1] % 2 else 0.5 * (ordered[:, half - 1] + ordered[:, half])


def medians_by_group(rows: Floats, group: Indices, counts: Indices) -> Floats:
    """Median of each group in each row: shape (rows, groups); every group has at least one value."""
    first = np.cumsum(counts) - counts
    order = np.argsort(group, kind="stable")
    longest = int(counts.max())
    low, high = (counts - 1) // 2, counts // 2
    if longest * len(counts) > 4 * len(group) + 1000:
        # Groups of very different size: a padded table would be mostly empty.
        out = np.empty((len(rows), len(counts)))
        for medians, values in zip(out, rows, strict=True):
            ordered = values[np.lexsort((values, group))]
            medians[:] = 0.5 * (ordered[first + low] + ordered[first + high])
        return out
    padded = np.full((len(rows), len(counts), longest), np.inf)
    ordered_group = group[order]
    padded[:, ordered_group, np.arange(len(group)) - first[ordered_group]] = rows[:, order]
    padded.sort(axis=2)
    at = np.arange(len(counts))
    return np.asarray(0.5 * (padded[:, at, low] + padded[:, at, high]))


def groups_present(bench: Indices, benches: int) -> tuple[Indices, Indices]:
    """Numbers 0, 1, … for the benches that occur in `bench`, run by run, and how often each occurs."""
    counts = np.bincount(bench, minlength=benches)
    if counts.all():
        return bench, counts
    here = counts > 0
    return (np.cumsum(here) - 1)[bench], counts[here]
