"""What each bench says on the scale where the errors add: warming per unit of fall energy."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.analysis.columns import Columns, Floats, Indices
from app.analysis.results import ClassSettings
from app.statistics.quantiles import chi_squared_upper

LEAST_MASS_RATIO = 1.2
"""Below this ratio of heaviest to lightest bench the masses count as the same (our own choice)."""
LEAST_BENCHES = 4
"""Two coefficients, c and C: two benches more than those show the scatter (our own choice)."""


@dataclass(frozen=True, slots=True)
class BenchTable:
    """One entry for each bench with counted runs, in order of first appearance.

    `slope` s = Σew/Σe² in K·kg/J (the line through the origin of the bench's own runs), about 1/c*.
    `variance` is the known part of Var(s): Var(w)/Σe² with Var(w) as in `bench_table`, and (u(h)/h)² s²
    where each bench measured its own tube. `per_mass` is Σ(e²/m)/Σe² in 1/kg, so that
    1/s ≈ c + C·per_mass. `u_shared` is the relative standard uncertainty of the energy that all benches
    share (g; the tube where all lengths are the same): pooling does not reduce it.
    """

    position: Indices
    counts: Indices
    mass: Floats
    per_mass: Floats
    slope: Floats
    variance: Floats
    u_shared: float

    def __len__(self) -> int:
        return len(self.slope)

    def mass_range(self) -> tuple[float, float]:
        """The lightest and the heaviest bench's mean mass in kg."""
        masses = self.mass.tolist()
        return min(masses), max(masses)


def bench_table(cols: Columns, settings: ClassSettings) -> BenchTable | None:
    """The table, or None where no run is counted.

    The variance of one warming is the thermometer's, u(w)², unless the runs of the benches scatter
    about their own lines by clearly more (χ² test at 5 %): then it is that scatter's.
    """
    taken = cols.taken
    bench, energy, warming = taken.bench, taken.energy, taken.warming
    n = len(energy)
    if not n:
        return None
    counts = taken.per_bench
    benches = len(counts)
    all_here = bool(counts.all())
    squares = energy * energy
    mass = np.maximum(taken.mass, 1e-9)
    see = np.bincount(bench, squares, benches)
    sums = (
        np.bincount(bench, energy * warming, benches),
        np.bincount(bench, squares / mass, benches),
        np.bincount(bench, mass, benches),
        np.bincount(bench, cols.u_fall / taken.fall, benches),
    )
    if all_here:
        position = np.arange(benches)
        (sew, sem, masses, own), group = sums, bench
    else:
        position = np.flatnonzero(counts)
        group = (np.cumsum(counts > 0) - 1)[bench]
        counts, see = counts[position], see[position]
        sew, sem, masses, own = (a_sum[position] for a_sum in sums)
    slopes = sew / see
    dof = n - len(position)
    run_variance = cols.u_warming**2
    if dof > 0:
        residual = warming - slopes[group] * energy
        within = float(residual.dot(residual)) / dof
        # At the usual level: R. A. Fisher, 1925.
        if within * dof > run_variance * chi_squared_upper(dof, 0.05):
            run_variance = within
    falls = taken.fall.tolist()
    same_tube = falls.count(falls[0]) == n
    shared = (settings.u_gravity_m_per_s2 / settings.gravity_m_per_s2) ** 2
    variance = run_variance / see
    if same_tube:
        shared += (cols.u_fall / falls[0]) ** 2
    else:
        variance = variance + (own / counts * slopes) ** 2
    return BenchTable(
        position=position,
        counts=counts,
        mass=masses / counts,
        per_mass=sem / see,
        slope=slopes,
        variance=variance,
        u_shared=sqrt(shared),
    )
