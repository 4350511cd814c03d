"""What a typical run of this class would read, found so that a few wild runs cannot move it.

Each bench's median warming per unit of energy, then over the benches either their median (one mass) or
the line c* = c₀ + C₀/m by repeated medians (Siegel, Biometrika 69 (1982) 242: half of the benches may
be wild). One step of least squares over the benches near that line sharpens it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.analysis.bench_table import LEAST_BENCHES, LEAST_MASS_RATIO
from app.analysis.columns import Columns, Flags, Floats, groups_present
from app.statistics.medians import median, medians_by_group
from app.statistics.outliers import MAD_TO_SD

TECHNIQUE_FLOOR = 0.04
"""Careful benches still differ by about 4 % in how they turn the tube (common practice, no source). The
scale of a residual never falls below this and the thermometer's own resolution together."""
_MOST_BENCHES_IN_PAIRS = 400
"""160,000 pairs of benches are compared in some milliseconds (our own choice)."""


@dataclass(frozen=True, slots=True)
class Typical:
    """`warming` is the expected warming of each run, `score` its standardized residual.

    score = (w − ŵ)/√(u(w)² + (τ ŵ)²), τ the class's own relative scatter, at least `TECHNIQUE_FLOOR`.
    """

    c: float
    sink: float
    warming: Floats
    scale: Floats
    score: Floats
    technique: float

    def expected_warming(self, energy: float, mass: float) -> float:
        """Warming in K that this class would show for an energy in J/kg and a mass in kg."""
        return energy / max(self.c + self.sink / max(mass, 1e-9), 1e-9)


def typical(cols: Columns, sane: Flags, bench_slope: Floats | None = None) -> Typical | None:
    """From the counted runs whose inputs are `sane`; None where there is none with a warming.

    `bench_slope` is each bench's median warming per energy where that is known and every run is used.
    """
    if bench_slope is not None:
        use: Flags | slice = slice(None)
        group, counts = cols.bench_of, cols.taken.per_bench
        energy, masses, slope = cols.energy, cols.mass, bench_slope
    else:
        use = sane & cols.counted
        if not use.any():
            return None
        group, counts = groups_present(cols.bench_of[use], len(cols.benches))
        energy, masses = cols.energy[use], cols.mass[use]
        slope = medians_by_group(cols.warming[use] / energy, group, counts)
    mass = np.bincount(group, masses) / counts
    per_mass = np.bincount(group, 1.0 / masses) / counts
    warm = slope > 0.0
    if not warm.all():
        if not warm.any():
            return None
        slope, mass, per_mass = slope[warm], mass[warm], per_mass[warm]
    c, sink = _line(slope, mass, per_mass, cols.u_warming / median(energy))
    energies = cols.energy if cols.all_workable else np.where(cols.workable, cols.energy, 1.0)
    if sink:
        # A mass far outside the class's own must not decide what is expected of its run.
        per_mass_all = 1.0 / np.maximum(cols.mass, 1e-9)
        per_mass_all = np.minimum(per_mass_all, float(per_mass.max()) * 1.5)
        warming = energies / (c + sink * np.maximum(per_mass_all, float(per_mass.min()) / 1.5))
    else:
        warming = energies / c
    expected = warming[use]
    excess = cols.warming - warming
    n = len(expected)
    spread = median(np.abs(excess[use] / expected)) / MAD_TO_SD * (1.0 + 1.5 / n)
    own = max(spread * spread - median(cols.u_warming / expected) ** 2, 0.0) ** 0.5
    technique = max(own, TECHNIQUE_FLOOR)
    scale = np.sqrt(cols.u_warming**2 + (technique * warming) ** 2)
    return Typical(c, sink, warming, scale, excess / scale, technique)


def _line(slope: Floats, mass: Floats, per_mass: Floats, u_slope: float) -> tuple[float, float]:
    """(c₀, C₀) of 1/s = c₀ + C₀/m; C₀ = 0 where the masses are the same or show no heat sink."""
    k = len(slope)
    if k < LEAST_BENCHES or float(mass.max()) < LEAST_MASS_RATIO * float(mass.min()):
        return 1.0 / median(slope), 0.0
    apparent = 1.0 / slope
    sink = max(_repeated_medians(per_mass, apparent), 0.0)
    c = median(apparent - sink * per_mass)
    if c <= 0.0:
        c, sink = 1.0 / median(slope), 0.0
    expected = c + sink * per_mass
    relative = slope * expected - 1.0
    size = np.abs(relative)
    spread = max(median(size), TECHNIQUE_FLOOR)
    variance = spread**2 + np.square(u_slope * expected)
    near = size <= 3.0 * np.sqrt(variance)  # three standard deviations: common practice, no source
    number = int(np.count_nonzero(near))
    if number < LEAST_BENCHES:
        return c, sink
    # Rows 1/c*, 1/(m c*) and 1 − residual, whose weighted products are the sums of least squares.
    rows = np.stack((1.0 / expected, per_mass / expected, 1.0 - relative))
    weights = 1.0 / variance
    if number < k:
        rows, weights = rows[:, near], weights[near]
    (s11, s12, t1), (_, s22, t2), _ = ((rows * weights) @ rows.T).tolist()
    det = s11 * s22 - s12 * s12
    if det <= 1e-6 * s11 * s22:
        return c, sink
    c1, sink1 = (s22 * t1 - s12 * t2) / det, (s11 * t2 - s12 * t1) / det
    if c1 > 0.0 and sink1 >= 0.0:
        return c1, sink1
    if sink1 < 0.0:
        return t1 / s11, 0.0
    return c, sink


def _repeated_medians(x: Floats, y: Floats) -> float:
    """Median over the benches of each bench's median slope to the others (x too near count as none)."""
    if len(x) > _MOST_BENCHES_IN_PAIRS:
        order = np.argsort(x, kind="stable")[:: -(-len(x) // _MOST_BENCHES_IN_PAIRS)]
        x, y = x[order], y[order]
    dx = x[:, None] - x
    pair = (y[:, None] - y) / dx
    together = np.abs(dx) <= 1e-3 * float(np.abs(x).max())  # masses alike to a thousandth: our own choice
    pair[together] = np.inf  # sorts behind the others
    pair.sort(axis=1)
    number = len(x) - np.count_nonzero(together, axis=1)
    if not number.all():
        pair, number = pair[number > 0], number[number > 0]
    at = np.arange(len(pair))
    return median(0.5 * (pair[at, (number - 1) // 2] + pair[at, number // 2]))
