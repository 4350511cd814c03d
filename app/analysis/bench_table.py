"""What each bench says on the scale where the errors add: warming per unit of fall energy."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri

from app.analysis.columns import Columns, Floats, Indices
from app.analysis.results import ClassSettings


@dataclass(frozen=True, slots=True)
class BenchTable:
    """One entry for each bench with counted runs, in order of first appearance.

    `slope` s = Σew/Σe² in K·kg/J (the line through the origin of the bench's own runs), about 1/c*.
    `variance` is the known part of Var(s): u(w)²/Σe², and (u(h)/h)² s² where each bench measured its
    own tube. `per_mass` is Σ(e²/m)/Σe² in 1/kg, so that 1/s ≈ c + C·per_mass. `u_shared` is the
    relative standard uncertainty of the energy that all benches share (g; the tube where all lengths
    are the same): pooling does not reduce it.
    """

    position: Indices
    counts: Indices
    mass: Floats
    per_mass: Floats
    slope: Floats
    variance: Floats
    run_variance: float
    within_variance: float | None
    u_shared: float

    def __len__(self) -> int:
        return len(self.slope)


def bench_table(cols: Columns, settings: ClassSettings) -> BenchTable | None:
    """The table, or None where no run is counted.

    The variance of one warming is the thermometer's, u(w)², unless the runs of the benches scatter
    about their own lines by clearly more (χ² test at 5 %): then it is that scatter's.
    """
    counted = cols.counted
    if not counted.any():
        return None
    bench = cols.bench_of[counted]
    energy, warming = cols.energy[counted], cols.warming[counted]
    benches = len(cols.benches)
    counts = np.bincount(bench, minlength=benches)
    here = counts > 0
    squares = energy * energy
    see = np.bincount(bench, squares, benches)
    see_or_1 = np.where(here, see, 1.0)
    slopes = np.bincount(bench, energy * warming, benches) / see_or_1
    mass = np.maximum(cols.mass[counted], 1e-9)
    masses = np.bincount(bench, mass, benches) / np.maximum(counts, 1)
    per_mass = np.bincount(bench, squares / mass, benches) / see_or_1
    dof = len(energy) - int(here.sum())
    run_variance, within = cols.u_warming**2, None
    if dof > 0:
        residual = warming - slopes[bench] * energy
        within = float(residual @ residual) / dof
        if within * dof > run_variance * float(chdtri(dof, 0.05)):
            run_variance = within
    relative_fall = cols.u_fall / cols.fall[counted]
    same_tube = bool(np.all(cols.fall[counted] == cols.fall[counted][0]))
    shared = (settings.u_gravity_m_per_s2 / settings.gravity_m_per_s2) ** 2
    variance = run_variance / see_or_1
    if same_tube:
        shared += float(relative_fall[0]) ** 2
    else:
        own = np.bincount(bench, relative_fall, benches) / np.maximum(counts, 1)
        variance = variance + (own * slopes) ** 2
    return BenchTable(
        position=np.flatnonzero(here),
        counts=counts[here],
        mass=masses[here],
        per_mass=per_mass[here],
        slope=slopes[here],
        variance=variance[here],
        run_variance=run_variance,
        within_variance=within,
        u_shared=float(np.sqrt(shared)),
    )
