"""What each bench says on the scale where the errors add: warming per unit of fall energy."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from app.analysis.columns import Columns, Indices
from app.analysis.readings import ClassSettings
from app.statistics.domain import Floats
from app.statistics.quantiles import SIGNIFICANCE, chi_squared_upper


@dataclass(frozen=True, slots=True)
class BenchTable:
    """One entry for each bench with counted runs, in order of first appearance.

    `slope` s = Σew/Σe² in K·kg/J (the line through the origin of the bench's own runs), about 1/c*.
    `variance` is the known part of Var(s): Σe²Var(w)/(Σe²)² with Var(w) as in `bench_table`, and (u(h)/h)² s²
    where each bench measured its own tube. `u_shared` is the relative standard uncertainty of the energy that
    all benches share (g; the tube where all lengths are the same): pooling does not reduce it.
    """

    position: Indices
    counts: Indices
    mass: Floats
    slope: Floats
    variance: Floats
    u_shared: float

    def __len__(self) -> int:
        return len(self.slope)


def bench_table(cols: Columns, settings: ClassSettings) -> BenchTable | None:
    """The table, or None where no run is counted.

    The variance of one warming is its thermometer's, u(w)², unless the runs of the benches scatter about
    their own lines by clearly more (χ² test at 5 %): then it is larger by that much.
    """
    taken = cols.taken
    if not len(taken.energy):
        return None
    position, group, counts = np.unique(taken.bench, return_inverse=True, return_counts=True)

    def of_bench(values: Floats) -> Floats:
        return np.bincount(group, values).astype(np.float64)

    squares = of_bench(np.square(taken.energy))
    slope = of_bench(taken.energy * taken.warming) / squares
    u_warming, dof = taken.u_warming, len(group) - len(position)
    variance = of_bench(np.square(taken.energy * u_warming)) / np.square(squares)
    if dof > 0:
        chi_squared = float(np.square((taken.warming - slope[group] * taken.energy) / u_warming).sum())
        if chi_squared > chi_squared_upper(dof, SIGNIFICANCE):
            variance = variance * (chi_squared / dof)
    u_gravity = settings.u_gravity_m_per_s2 / settings.gravity_m_per_s2
    u_fall = of_bench(cols.u_fall / taken.fall) / counts
    same_tube = float(np.ptp(taken.fall)) == 0.0
    return BenchTable(
        position=position,
        counts=counts,
        mass=of_bench(taken.mass) / counts,
        slope=slope,
        variance=variance if same_tube else variance + np.square(u_fall * slope),
        u_shared=hypot(u_gravity, float(u_fall[0]) if same_tube else 0.0),
    )
