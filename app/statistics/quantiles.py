"""Quantiles of the distributions used for intervals and critical values.

These call `scipy.special` directly: the frozen distributions of `scipy.stats` cost about a hundred
times as much for one number, and a class's analysis needs dozens. The same few are asked for again and
again (a class's degrees of freedom change when a run comes in), so that they are remembered.
"""

from __future__ import annotations

from functools import lru_cache

from scipy.special import chdtri, fdtri, stdtrit

SIGNIFICANCE = 0.05
"""Of every critical value here unless asked otherwise (R. A. Fisher, 1925)."""


@lru_cache(maxsize=4096)
def student_two_sided(dof: float, alpha: float = SIGNIFICANCE) -> float:
    """t such that |t| is exceeded with probability `alpha`."""
    return -float(stdtrit(dof, alpha / 2))


@lru_cache(maxsize=4096)
def fisher(dof_numerator: float, dof_denominator: float, probability: float) -> float:
    """Lower quantile of the F distribution: P(F ≤ result) = probability."""
    return float(fdtri(dof_numerator, dof_denominator, probability))


@lru_cache(maxsize=4096)
def chi_squared_upper(dof: float, probability: float) -> float:
    """Upper quantile of χ²: P(χ² > result) = probability."""
    return float(chdtri(dof, probability))
