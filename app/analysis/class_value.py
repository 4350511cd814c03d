"""The class's apparent specific heat capacity: its benches pooled where their errors add, then inverted.

Definition. With one mass the value is 1/E(s), s a bench's warming per unit of fall energy: for
perfect benches c + C/m. Where the benches used different masses m_b the benches are not repeats
of one quantity; the value is then that of this class with its own masses, every bench counted
alike: k/Σ_b 1/(c + C/m_b), the inverse of the mean warming per unit energy. The masses are chosen,
not drawn by chance, so that their effect is fitted (1/s = c + C/m) and does not widen the interval.

Benches are random effects (Paule–Mandel; DerSimonian–Laird and REML beside it), the interval is
Hartung and Knapp's with a lower bound (`random_effects`). What all benches share is added after
pooling, because pooling does not reduce it.
"""

from __future__ import annotations

from math import sqrt
from operator import mul
from typing import NamedTuple

import numpy as np

from app.analysis.bench_table import BenchTable
from app.analysis.mass_line import MassLine
from app.analysis.results import ClassSettings, ClassValue, Interval, PooledEstimate
from app.physics.rounding import short
from app.physics.uncertainty import NO_UPPER_END
from app.statistics.random_effects import Line, RandomEffects
from app.words import N_, Message

PAULE_MANDEL = "paule-mandel"
DERSIMONIAN_LAIRD = "dersimonian-laird"
REML = "reml"
_METHOD = "Paule-Mandel over benches on warming per energy, modified Hartung-Knapp interval"
_METHOD_ALONE = "one bench's line through the origin, warming on energy"
_METHOD_MASSES = "Paule-Mandel over benches on warming per energy with the benches' masses fitted, " + (
    "modified Hartung-Knapp interval"
)


class PooledSlope(NamedTuple):
    """The class's mean slope in K·kg/J, its standard uncertainty, reach and relative bench scatter.

    `reach` is half the 95 % interval in units of `u_slope`.
    """

    slope: float
    u_slope: float
    reach: float
    tau_relative: float

    @property
    def apparent(self) -> float:
        return 1.0 / self.slope

    def interval(self) -> Interval | None:
        """95 % for the apparent specific heat capacity; None where the upper end is unbounded."""
        low, high = self.slope - self.reach * self.u_slope, self.slope + self.reach * self.u_slope
        return (1.0 / high, 1.0 / low) if low > 1e-9 * self.slope else None


class Pooled(NamedTuple):
    """The class value or the reason why there is none, the three methods, and the pooled slope behind it."""

    value: ClassValue | None
    absent_because: Message | None
    estimates: tuple[PooledEstimate, ...] = ()
    slope: PooledSlope | None = None
    """Paule and Mandel's; None for fewer than two benches or where there is no value."""


def pooled(table: BenchTable, line: Line, masses: MassLine | None, u_shared: float) -> PooledSlope:
    """The mean slope from a fit over the benches, with what the benches share added.

    `u_shared` is relative; it is not a matter of few benches, so that it enters with the factor 1.96.
    """
    if masses is None:
        slope, u = line.beta1, line.u_beta1
        relative = sqrt(line.tau2) / abs(slope) if slope else 0.0
    else:
        k, per_mass = len(table), table.per_mass.tolist()
        c, sink = line.beta1, line.beta2
        inverses = [1.0 / (c + sink * x) for x in per_mass]
        squares = [inverse * inverse for inverse in inverses]
        slope = sum(inverses) / k
        u = line.u_of(sum(squares) / k, sum(map(mul, squares, per_mass)) / k)
        relative = sqrt(line.tau2)
    half = sqrt((line.reach * u) ** 2 + (1.96 * u_shared * slope) ** 2)
    total = sqrt(u * u + (u_shared * slope) ** 2)
    return PooledSlope(slope, total, half / total if total > 0 else line.reach, relative)


def class_fit(table: BenchTable, masses: MassLine | None) -> tuple[RandomEffects, Line]:
    """The benches as random effects and their Paule–Mandel fit (at least two benches)."""
    if masses is not None:
        return masses.effects, masses.line
    effects = RandomEffects(table.slope, table.variance, np.ones(len(table)))
    return effects, effects.paule_mandel()


def class_value(table: BenchTable | None, masses: MassLine | None, settings: ClassSettings) -> Pooled:
    """The class value, or the reason why there is none, and the three methods side by side."""
    if table is None:
        return Pooled(None, Message(N_("There is no class value: no run is counted.")))
    k = len(table)
    least_slope = 1e-12 / settings.accepted_J_per_kg_K
    if k == 1:
        slope = float(table.slope[0])
        if slope <= least_slope:
            return Pooled(None, _NO_WARMING)
        alone = Message(N_("One bench alone cannot show how far benches differ, so there is no interval."))
        return Pooled(_value(1.0 / slope, None, alone, _METHOD_ALONE, table, settings), None)
    effects, line = class_fit(table, masses)
    middle = pooled(table, line, masses, table.u_shared)
    if not middle.slope > least_slope:
        return Pooled(None, _NO_WARMING)
    interval, reason = middle.interval(), None
    if k == 2:
        interval = None
        if float(table.slope.min()) > 0.0:
            low, high = sorted((1.0 / float(table.slope[0]), 1.0 / float(table.slope[1])))
            reason = Message(
                N_("Too few benches for an interval: the two read %(low)s and %(high)s J/(kg·K)."),
                {"low": short(low), "high": short(high)},
            )
        else:
            reason = Message(N_("Too few benches for an interval, and one of the two shows no warming."))
    elif interval is None and middle.tau_relative == 0.0 and table.thermometer_alone:
        reason = NO_UPPER_END
    elif interval is None:
        reason = Message(N_("The benches scatter so much that no upper end of the interval can be given."))
    estimates = [_estimate(PAULE_MANDEL, middle, k)]
    for method, other_line in (
        (DERSIMONIAN_LAIRD, effects.dersimonian_laird()),
        (REML, effects.reml(line.tau2)),
    ):
        other = pooled(table, other_line, masses, table.u_shared)
        if other.slope > least_slope:
            estimates.append(_estimate(method, other, k))
    method = _METHOD if masses is None else _METHOD_MASSES
    value = _value(middle.apparent, interval, reason, method, table, settings)
    return Pooled(value, None, tuple(estimates), middle)


_NO_WARMING = Message(N_("There is no class value: the class as a whole shows no warming."))


def _estimate(method: str, value: PooledSlope, k: int) -> PooledEstimate:
    return PooledEstimate(
        method, value.apparent, value.interval() if k > 2 else None, value.tau_relative * value.apparent
    )


def _value(
    apparent: float,
    interval: Interval | None,
    reason: Message | None,
    method: str,
    table: BenchTable,
    settings: ClassSettings,
) -> ClassValue:
    accepted = settings.accepted_J_per_kg_K

    def percent(value: float) -> float:
        return 100.0 * (value / accepted - 1.0)

    return ClassValue(
        apparent_heat_capacity_J_per_kg_K=apparent,
        interval_95=interval,
        method=method,
        runs=int(table.counts.sum()),
        benches=len(table),
        percent_error=percent(apparent),
        accepted_J_per_kg_K=accepted,
        accepted_inside_interval=None if interval is None else interval[0] <= accepted <= interval[1],
        percent_error_interval=None if interval is None else (percent(interval[0]), percent(interval[1])),
        interval_absent_because=reason,
    )
