"""Limits of a control chart of single values that each have an uncertainty of their own.

The chart for individuals (ISO 7870-2; Shewhart) takes the spread from moving ranges, the differences of
neighbours in time, so that a drift or one wild value does not widen its own limits much: σ = mean MR/1.128,
limits 3σ, or 2.66 times the mean MR, on either side. It takes all values for equally sure. A class of four
benches is not as sure as one of sixteen. Here y_i has the variance u_i² + τ², and the spread between
practicals τ is what makes the mean of the moving ranges what it is expected to be for normal values,

    Σ |y_i+1 − y_i| = Σ √(2/π)·√(u_i² + u_i+1² + 2τ²),

with τ = 0 where the values lie nearer to each other than their own uncertainties say. The limits of a value
are 3·√(u_i² + τ²) on either side of the centre. With equal u_i this is the chart for individuals itself
(√(2/π)·√2 is its 1.128), which the published case in the tests checks. Variances that add up like this are
those of the random-effects mean, and of D. J. Spiegelhalter's limits for institutions that differ
(Stat. Med. 24 (2005) 1185, additive random effects).
"""

from __future__ import annotations

from math import pi, sqrt
from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq

from app.statistics.domain import Floats

SIGMAS = 3.0
"""Shewhart's choice, and that of ISO 7870-2:2013."""
RUN_LENGTH = 8
"""So many values in a row on one side of the centre are a shift (Western Electric rules; NIST/SEMATECH
e-Handbook of Statistical Methods, 6.3.2)."""


class ControlLimits(NamedTuple):
    """τ from the moving ranges, and how far each value may lie from the centre."""

    between_sd: float
    half_widths: Floats


def control_limits(y: Floats, u: Floats) -> ControlLimits:
    """For at least two values in the order of time, with standard uncertainties `u` ≥ 0."""
    ranges = float(np.abs(np.diff(y)).sum())
    own = np.square(u[:-1]) + np.square(u[1:])

    def too_much(tau: float) -> float:
        return sqrt(2 / pi) * float(np.sqrt(own + 2 * tau**2).sum()) - ranges

    # Each term is at least √(2/π)·√2·τ, so that the mean moving range over 1.128 is an upper bound.
    upper = ranges * sqrt(pi) / (2 * (len(y) - 1)) * (1 + 1e-9)
    tau = float(brentq(too_much, 0.0, upper, xtol=1e-13 * upper)) if too_much(0.0) < 0.0 else 0.0
    return ControlLimits(tau, SIGMAS * np.sqrt(np.square(u) + tau**2))


def runs_on_one_side(y: Floats, centre: float) -> list[tuple[int, int]]:
    """First and last place of each row of at least `RUN_LENGTH` values on one side of the centre."""
    sides, found, start = np.sign(y - centre), [], 0
    for i in range(1, len(y) + 1):
        if i == len(y) or sides[i] != sides[start] or sides[start] == 0:
            if i - start >= RUN_LENGTH and sides[start] != 0:
                found.append((start, i - 1))
            start = i
    return found
