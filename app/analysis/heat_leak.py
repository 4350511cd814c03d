"""The heat leak to the room, where room temperatures were given and the benches differ in it.

First order: m·e = (m·c + C)·w + m·λ·N·θ with θ = (T1 + T2)/2 − T_room, so that a leak takes λNθ off the
specific energy. For each λ tried the benches are fitted as in `mass_line`; the λ with the lowest deviance
(profile likelihood) is kept if AICc asks for it clearly. What λ adds to the uncertainty of c and C is their
change with λ times u(λ), from the curvature of the deviance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from app.analysis.bench_table import BenchTable, bench_table
from app.analysis.columns import Columns, Floats
from app.analysis.mass_line import MassLine, mass_line, masses_differ
from app.analysis.results import ClassSettings

LEAST_SPREAD_K = 0.5
"""Least standard deviation of θ over the runs: with less, no class can show a leak (our own choice)."""
LEAST_GAIN = 4.0
"""AICc must fall by at least this much for the leak to enter the fit: “considerably less support” for the
model without it begins there (Burnham and Anderson, Model Selection, 2nd ed., 2002, 2.6; from memory)."""
FEWEST_BENCHES = 6
"""Three coefficients and the scatter of the benches are fitted: two benches more than those (our own
choice)."""
_GOLDEN = (sqrt(5.0) - 1.0) / 2.0
"""Golden-section search: closed form (√5 − 1)/2."""


@dataclass(frozen=True, slots=True)
class HeatLeak:
    """λ in J/(kg·K) per inversion, the benches fitted with it, and the change of c and C with λ."""

    per_inversion: float
    u_per_inversion: float
    table: BenchTable
    masses: MassLine
    c_by_leak: float
    sink_by_leak: float
    aicc_gain: float


def excess_temperature(cols: Columns, settings: ClassSettings) -> Floats | None:
    """θ of each run, or None where a counted run has no room temperature."""
    given = [run.room_temperature_C for run in cols.runs]
    if None in given:
        if settings.room_temperature_C is None:
            counted = cols.counted.tolist()
            if any(value is None and used for value, used in zip(given, counted, strict=True)):
                return None
        given = [settings.room_temperature_C or 0.0 if value is None else value for value in given]
    room = np.array(given, dtype=np.float64)
    room = np.minimum(np.maximum(room, -1e3), 1e3)
    return np.asarray(0.5 * (cols.start + cols.end) - room)


def heat_leak(cols: Columns, settings: ClassSettings, masses: MassLine) -> HeatLeak | None:
    """The leak, or None where the readings do not ask for one (or cannot show it)."""
    theta = excess_temperature(cols, settings)
    counted = cols.counted
    if theta is None or len(masses.expected) < FEWEST_BENCHES:
        return None
    of_counted = theta if cols.taken.all_of_them else theta[counted]
    of_counted = of_counted - of_counted.sum() / len(of_counted)
    if float(of_counted.dot(of_counted)) < len(of_counted) * LEAST_SPREAD_K**2:
        return None
    taken = cols.inversions * theta
    start = masses.line.beta1, masses.line.beta2
    largest = float(np.abs(taken[counted]).max())
    most = 0.5 * float(cols.energy[counted].min()) / largest if largest > 0.0 else 0.0

    def fitted(leak: float) -> tuple[BenchTable, MassLine] | None:
        energy = cols.energy - leak * taken
        table = bench_table(replace(cols, energy=np.where(counted, energy, cols.energy)), settings)
        if table is None or not masses_differ(table):
            return None
        line = mass_line(table, start)
        return None if line is None else (table, line)

    def deviance(leak: float) -> float:
        found = fitted(leak)
        return np.inf if found is None else _deviance(*found)

    best = _lowest(deviance, 0.0, most)
    here = fitted(best)
    step = 1e-3 * most
    if here is None or best < step:
        return None
    below, above = fitted(best - step), fitted(best + step)
    none = fitted(0.0)
    if below is None or above is None or none is None:
        return None
    curvature = (_deviance(*below) + _deviance(*above) - 2.0 * _deviance(*here)) / step**2
    k = len(masses.expected)
    gain = _deviance(*none) - _deviance(*here) + _penalty(3, k) - _penalty(4, k)
    if not curvature > 0.0 or gain < LEAST_GAIN:
        return None
    return HeatLeak(
        best,
        sqrt(2.0 / curvature),
        *here,
        (above[1].line.beta1 - below[1].line.beta1) / (2.0 * step),
        (above[1].line.beta2 - below[1].line.beta2) / (2.0 * step),
        gain,
    )


def _deviance(table: BenchTable, masses: MassLine) -> float:
    """−2 log L of the benches' slopes about their line, normal errors, τ² as fitted."""
    variance = masses.scale_variance + masses.line.tau2
    residual = table.slope * masses.expected - 1.0
    return float((np.log(variance / masses.expected**2) + residual * residual / variance).sum())


def _penalty(parameters: int, n: int) -> float:
    """AICc's price of so many parameters."""
    return 2.0 * parameters + 2.0 * parameters * (parameters + 1) / max(n - parameters - 1, 1)


def _lowest(function: Callable[[float], float], low: float, high: float) -> float:
    """The lowest point between `low` and `high` by golden sections, to 1e-5 of the range."""
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = function(left), function(right)
    least = 1e-5 * (high - low)
    while high - low > least:
        if at_left <= at_right:
            high, right, at_right = right, left, at_left
            left = high - _GOLDEN * (high - low)
            at_left = function(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + _GOLDEN * (high - low)
            at_right = function(right)
    return 0.5 * (low + high)
