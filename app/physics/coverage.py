"""How many standard uncertainties make an interval; apart from `uncertainty`, which brings numpy with it."""

from __future__ import annotations

COVERAGE_95 = 1.959963984540054
"""Two-sided 95 % quantile of the normal distribution: scipy.special.ndtri(0.975)."""
