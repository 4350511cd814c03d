"""What a typical run of this class would read, found so that a few wild runs cannot move it.

Each bench's median warming per unit of energy, then over the benches either their median (one mass) or
the line c* = c₀ + C₀/m by repeated medians (Siegel, Biometrika 69 (1982) 242: half of the benches may
be wild). One step of least squares over the benches near that line sharpens it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.analysis.columns import Columns, Flags, Floats, groups_present, medians_by_group
from app.analysis.mass_line import LEAST_BENCHES, LEAST_MASS_RATIO
from app.statistics.outliers import median

TECHNIQUE_FLOOR = 0.04
"""Careful benches still differ by about 4 % in how they turn the tube (common practice, no source). The
scale of a residual never falls below this and the thermometer's own resolution together."""
MAD_TO_SD = 1.4826
_MOST_BENCHES_IN_PAIRS = 400


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


def typical(cols: Columns, sane: Flags) -> Typical | None:
    """From the counted runs whose inputs are `sane`; None where there is none with a warming."""
    use = sane & cols.counted
    if not use.any():
        return None
    group, counts = groups_present(cols.bench_of[use], len(cols.benches))
    energy, masses = cols.energy[use], cols.mass[use]
    slope = medians_by_group((cols.warming[use] / energy)[None, :], group, counts)[0]
    mass = np.bincount(group, masses) / counts
    per_mass = np.bincount(group, 1.0 / masses) / counts
    warm = slope > 0.0
    if not warm.all():
        if not warm.any():
            return None
        slope, mass, per_mass = slope[warm], mass[warm], per_mass[warm]
    c, sink = _line(slope, mass, per_mass, cols.u_warming / median(energy))
    per_mass_all = 1.0 / np.maximum(cols.mass, 1e-9)
    if sink:
        # A mass far outside the class's own must not decide what is expected of its run.
        per_mass_all = np.clip(per_mass_all, float(per_mass.min()) / 1.5, float(per_mass.max()) * 1.5)
    warming = np.where(cols.workable, cols.energy, 1.0) / (c + sink * per_mass_all)
    relative = np.abs(cols.warming[use] / warming[use] - 1.0)
    thermometer = cols.u_warming / warming
    n = len(relative)
    spread = MAD_TO_SD * median(relative) * (1.0 + 1.5 / n)
    own = max(spread * spread - median(thermometer[use]) ** 2, 0.0) ** 0.5
    technique = max(own, TECHNIQUE_FLOOR)
    scale = np.sqrt(cols.u_warming**2 + (technique * warming) ** 2)
    return Typical(c, sink, warming, scale, (cols.warming - warming) / scale, technique)


def _line(slope: Floats, mass: Floats, per_mass: Floats, u_slope: float) -> tuple[float, float]:
    """(c₀, C₀) of 1/s = c₀ + C₀/m; C₀ = 0 where the masses are the same or show no heat sink."""
    k = len(slope)
    apparent = 1.0 / slope
    if k < LEAST_BENCHES or float(mass.max()) < LEAST_MASS_RATIO * float(mass.min()):
        return 1.0 / median(slope), 0.0
    x, y = per_mass, apparent
    if k > _MOST_BENCHES_IN_PAIRS:
        order = np.argsort(x, kind="stable")[:: -(-k // _MOST_BENCHES_IN_PAIRS)]
        x, y = x[order], y[order]
    dx = x[:, None] - x[None, :]
    apart = np.abs(dx) > 1e-3 * float(np.abs(x).max())
    pair = np.where(apart, (y[:, None] - y[None, :]) / np.where(apart, dx, 1.0), np.inf)
    ordered = np.sort(pair, axis=1)
    number = apart.sum(axis=1)
    some = number > 0
    rows, number = ordered[some], number[some]
    at = np.arange(len(rows))
    middles = 0.5 * (rows[at, (number - 1) // 2] + rows[at, number // 2])
    sink = max(median(middles), 0.0)
    c = median(apparent - sink * per_mass)
    if c <= 0.0:
        c, sink = 1.0 / median(slope), 0.0
    expected = c + sink * per_mass
    relative = slope * expected - 1.0
    spread = max(MAD_TO_SD * median(np.abs(relative)), TECHNIQUE_FLOOR)
    near = np.abs(relative) <= 3.0 * np.sqrt(spread**2 + (u_slope * expected) ** 2)
    if int(near.sum()) < LEAST_BENCHES:
        return c, sink
    z1, z2 = 1.0 / expected[near], per_mass[near] / expected[near]
    response = 1.0 - relative[near]
    w = 1.0 / (spread**2 + (u_slope * expected[near]) ** 2)
    s11, s12, s22 = float(w * z1 @ z1), float(w * z1 @ z2), float(w * z2 @ z2)
    det = s11 * s22 - s12 * s12
    if det <= 1e-6 * s11 * s22:
        return c, sink
    t1, t2 = float(w * z1 @ response), float(w * z2 @ response)
    c1, sink1 = (s22 * t1 - s12 * t2) / det, (s11 * t2 - s12 * t1) / det
    if c1 > 0.0 and sink1 >= 0.0:
        return c1, sink1
    if sink1 < 0.0:
        return t1 / s11, 0.0
    return c, sink
