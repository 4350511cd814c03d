"""Runs of many practicals as columns: how far each c* is from what is expected of its metal and mass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize_scalar

from app.analysis.columns import medians
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2, specific_fall_energy
from app.physics.limits import HEAT_SINK_J_PER_K
from app.physics.run import Readings
from app.physics.uncertainty import warming_uncertainty
from app.statistics.domain import Floats
from app.statistics.mixed import Groups
from app.statistics.robust import robust_sd

FAR_OFF_SDS = 6.0
"""A run this far from its practical's others is a slip that nobody decided about (our own choice)."""

LEAST_DIFFERENCE = 0.05
"""Of a bench's mass from its practical's middle, as a part of it: masses nearer together than a tenth tell
nothing of the heat sink (our own choice)."""


@dataclass(frozen=True)
class RunWithPieces:
    """One counted run: where it was made, what was read, and with which pieces (by kind, as numbers)."""

    practical: int
    bench: int
    readings: Readings
    pieces: tuple[tuple[str, int], ...]
    material: str
    accepted_J_per_kg_K: float
    thermometer_step_K: float
    gravity_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2


class Columns:
    """The runs as columns: y in percent, its known variance, the slopes of the heat sink, and the groups."""

    def __init__(self, runs: Sequence[RunWithPieces]) -> None:
        self.practicals = [run.practical for run in runs]
        self.practical = numbered(self.practicals)
        self.bench = numbered([(run.practical, run.bench) for run in runs])
        self.metal = numbered([run.material for run in runs])
        accepted = np.array([run.accepted_J_per_kg_K for run in runs])
        per_mass = np.array([1.0 / run.readings.shot_mass_kg for run in runs])
        energy = np.array(
            [
                specific_fall_energy(run.readings.fall_m, run.readings.inversions, run.gravity_m_per_s2)
                for run in runs
            ]
        )
        own = np.log(energy / np.array([run.readings.warming_K for run in runs]))
        sinks = self._sinks(own, accepted, per_mass)[self.metal]
        through = accepted + sinks * per_mass
        self.y = 100.0 * (own - np.log(through))
        u_warming = warming_uncertainty(np.array([run.thermometer_step_K for run in runs]))
        self.known = (100.0 * u_warming * through / energy) ** 2
        self.fixed = np.column_stack(
            [np.ones(len(runs)), *self._slopes(100.0 * per_mass / through, per_mass)]
        )

    def within_practicals(self, values: Floats) -> Floats:
        """The values without the means of their practicals."""
        counts = np.bincount(self.practical)
        return values - (np.bincount(self.practical, values) / counts)[self.practical]

    def _sinks(self, own: Floats, accepted: Floats, per_mass: Floats) -> Floats:
        """C for each metal in J/K: with which its runs differ least within their practicals (absolute values,
        so that a slip does not pull it)."""
        found = []
        for metal in range(int(self.metal.max()) + 1):
            of_it = self.metal == metal

            def differ(sink: float, of_it: Groups = of_it) -> float:
                away = self.within_practicals(np.where(of_it, own - np.log(accepted + sink * per_mass), 0.0))
                return float(np.abs(away[of_it]).sum())

            bounds = HEAT_SINK_J_PER_K.as_floats
            found.append(
                float(minimize_scalar(differ, bounds=(bounds[0], bounds[1] / 10), method="bounded").x)
            )
        return np.array(found)

    def _slopes(self, slope: Floats, per_mass: Floats) -> list[Floats]:
        """A column for each metal whose masses differ by a tenth within practicals (a level of masses)."""
        columns = []
        for metal in range(int(self.metal.max()) + 1):
            of_it = self.metal == metal
            differ = np.abs(self.within_practicals(per_mass)[of_it] / per_mass[of_it])
            if differ.max() > LEAST_DIFFERENCE:
                columns.append(self.within_practicals(np.where(of_it, slope, 0.0)))
        return columns

    def near(self) -> Groups:
        """Which runs are not too far from the others of their practical."""
        away = self.y - medians(self.y, self.practical)[self.practical]
        spread = robust_sd(away, 1e-9)
        near: Groups = np.abs(away) <= max(FAR_OFF_SDS * spread, 1e-9)
        return near

    def dof(self, pieces: Sequence[int]) -> int:
        """Benches left over when practicals, pieces and slopes have taken theirs."""
        taken = int(self.practical.max()) + 1 + sum(count - 1 for count in pieces) + self.fixed.shape[1] - 1
        return int(self.bench.max()) + 1 - int(taken)


def numbered(labels: Sequence[object]) -> Groups:
    """A number from 0 for each label, in the order in which they first stand there."""
    numbers: dict[object, int] = {}
    return np.array([numbers.setdefault(label, len(numbers)) for label in labels], dtype=np.intp)
