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
from math import isfinite

import numpy as np

from app.analysis.bench_table import BenchTable
from app.analysis.columns import Floats
from app.statistics.random_effects import Line, RandomEffects

LEAST_MASS_RATIO = 1.2
"""Below this ratio of heaviest to lightest bench the masses count as the same (our own choice)."""
LEAST_BENCHES = 4
"""Two coefficients are fitted: two degrees of freedom are left for the scatter (our own choice)."""


@dataclass(frozen=True, slots=True)
class MassLine:
    """c in J/(kg·K) is `line.beta1`, C in J/K is `line.beta2`; τ is relative (bench technique)."""

    line: Line
    effects: RandomEffects
    expected: Floats
    """Expected apparent specific heat capacity c + C/m of each bench, J/(kg·K)."""
    scale_variance: Floats
    """v_i c*_i²: the relative variance of each bench's slope that the thermometer accounts for."""


def masses_differ(table: BenchTable) -> bool:
    """Whether the benches' masses differ enough, over enough benches, for a line in 1/m."""
    if len(table) < LEAST_BENCHES:
        return False
    low, high = table.mass_range()
    return low > 1e-6 and high < 1e6 and masses_apart(table)


def masses_apart(table: BenchTable) -> bool:
    """Whether the benches' masses are not the same, however few the benches."""
    low, high = table.mass_range()
    return high >= LEAST_MASS_RATIO * low


def mass_line(table: BenchTable, start: tuple[float, float]) -> MassLine | None:
    """The fit, from a start value (c, C); None where it does not settle on positive specific heat capacities.

    c, C and τ² take their steps together: one of Gauss and Newton's for (c, C), one of Newton's for τ² as in
    `RandomEffects.paule_mandel`.
    """
    c, sink = start
    x, slope = table.per_mass, table.slope
    x_list = x.tolist()
    narrowest, widest = min(x_list), max(x_list)
    least_variance = min(table.variance.tolist())
    dof = len(x) - 2
    tau2: float | None = None
    rows = np.empty((3, len(x)))
    z1, z2, residual = rows
    for _ in range(60):
        # The expected values lie on a line, so that its ends are the least and the greatest.
        ends = c + sink * narrowest, c + sink * widest
        if not min(ends) > 1e-9:
            return None
        expected = c + sink * x
        np.divide(1.0, expected, out=z1)
        np.multiply(x, z1, out=z2)
        np.subtract(1.0, slope * expected, out=residual)
        variance = table.variance * (expected * expected)
        if tau2 is None:
            tau2 = max(0.0, float(residual @ residual) / dof - float(variance.sum()) / len(x))
        w = 1.0 / (variance + tau2)
        weighted = rows * w
        (s11, s12, t1), (_, s22, t2), (_, _, rr) = weighted.dot(rows.T).tolist()
        det = s11 * s22 - s12 * s12
        if not det > 1e-12 * s11 * s22:
            return None
        step_c, step_sink = (s22 * t1 - s12 * t2) / det, (s11 * t2 - s12 * t1) / det
        # Q = Σwr² after the step (by the normal equations), and its fall with τ², Σw²r².
        q = rr - step_c * t1 - step_sink * t2
        (b11, b12, s1), (_, b22, s2), (_, _, ss) = weighted.dot(weighted.T).tolist()
        fall = ss - 2.0 * (step_c * s1 + step_sink * s2)
        fall += step_c * step_c * b11 + 2.0 * step_c * step_sink * b12 + step_sink * step_sink * b22
        after = max(0.0, tau2 + (q - dof) / fall * (q / dof)) if fall > 0.0 else tau2
        # A step is about a fiftieth of the one before: this one and the last leave less than a millionth.
        # Far below any digit shown: our own choice.
        settled = abs(step_c) + abs(step_sink) * widest < 1e-3 * max(ends) and (
            # Τ² itself is known far worse: our own choice.
            abs(after - tau2) < 5e-2 * (tau2 + least_variance * min(ends) ** 2)
        )
        tau2 = after
        c, sink = c + step_c, sink + step_sink
        if not isfinite(c + sink + tau2):
            return None
        if settled:
            return _last_step(table, c + sink * x, tau2)
    return None


def _last_step(table: BenchTable, expected: Floats, tau2: float) -> MassLine | None:
    """The fit linearized about `expected`, with its own τ² to the last digit."""
    z1 = 1.0 / expected
    z2 = table.per_mass * z1
    variance = table.variance * (expected * expected)
    try:
        effects = RandomEffects(2.0 - table.slope * expected, variance, z1, z2)
        effects.without_scatter()  # must exist: the other methods begin there
        line = effects.paule_mandel(tau2)
    except ZeroDivisionError:
        return None
    expected = line.beta1 + line.beta2 * table.per_mass
    return MassLine(line, effects, expected, variance) if min(expected.tolist()) > 0 else None
