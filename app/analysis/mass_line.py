"""Benches with different masses as one line: 1/s = c + C/m, fitted on the scale of s.

m·e = (m·c + C)·w gives the expected slope s = 1/(c + C/m) of a bench's line through the origin. The
thermometer's errors are errors of s, bench technique multiplies s. Gauss and Newton's linearization
about the current (c, C), c*_i = c + C/m_i:

    2 − s_i c*_i = c·(1/c*_i) + C·(1/(m_i c*_i)) + technique_i + error_i,   Var = τ² + v_i c*_i²

which is `RandomEffects.paule_mandel` with two regressors, repeated until c and C stand still.
Averaging 1/s instead would be biased where u(w)/w is large; here the expected equation is exact in s.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.analysis.bench_table import BenchTable
from app.analysis.columns import Floats
from app.statistics.random_effects import Line, RandomEffects

LEAST_MASS_RATIO = 1.2
"""Below this ratio of heaviest to lightest bench the masses count as the same."""
LEAST_BENCHES = 4


@dataclass(frozen=True, slots=True)
class MassLine:
    """c in J/(kg·K) is `line.beta1`, C in J/K is `line.beta2`; τ is relative (bench technique)."""

    line: Line
    effects: RandomEffects
    expected: Floats
    """Expected apparent heat capacity c + C/m of each bench, J/(kg·K)."""
    scale_variance: Floats
    """v_i c*_i²: the relative variance of each bench's slope that the thermometer accounts for."""


def masses_differ(table: BenchTable) -> bool:
    """Whether the benches' masses differ enough, over enough benches, for a line in 1/m."""
    if len(table) < LEAST_BENCHES:
        return False
    low, high = float(table.mass.min()), float(table.mass.max())
    return low > 1e-6 and high < 1e6 and high >= LEAST_MASS_RATIO * low


def mass_line(table: BenchTable, start: tuple[float, float]) -> MassLine | None:
    """The fit, from a start value (c, C); None where it does not settle on positive heat capacities."""
    c, sink = start
    x = table.per_mass
    for _ in range(60):
        expected = c + sink * x
        if not float(expected.min()) > 1e-9:
            return None
        inverse = 1.0 / expected
        response = 2.0 - table.slope * expected
        variance = table.variance * expected * expected
        try:
            effects = RandomEffects(response, variance, inverse, x * inverse)
            line = effects.paule_mandel()
        except ZeroDivisionError:
            return None
        settled = abs(line.beta1 - c) + abs((line.beta2 - sink) * float(x.max())) < 1e-6 * float(
            expected.max()
        )
        c, sink = line.beta1, line.beta2
        if settled:
            expected = c + sink * x
            return MassLine(line, effects, expected, variance) if float(expected.min()) > 0 else None
        if not np.isfinite(c + sink):
            return None
    return None
