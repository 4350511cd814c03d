"""Grubbs' test for one outlier.

Sources: Grubbs, Technometrics 11 (1969) 1; critical values as in NIST/SEMATECH e-Handbook 1.3.5.17.1.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np
from scipy.special import stdtrit

from app.statistics.domain import Floats, Numbers, outside, vector
from app.statistics.quantiles import SIGNIFICANCE
from app.words import N_


@dataclass(frozen=True)
class Grubbs:
    """Grubbs' test: `g` = max |x − mean|/s at position `index`, against its critical value."""

    g: float
    critical: float
    index: int
    two_sided: bool
    outlier: bool


def grubbs_critical(n: int, alpha: float = SIGNIFICANCE, two_sided: bool = True) -> float:
    """Critical G for n ≥ 3 values: (n−1)/√n · √(t²/(n−2+t²)), t at 1 − α/(2n) or 1 − α/n, n − 2 dof."""
    if n < 3:  # n − 2 degrees of freedom: Grubbs (1969)
        raise outside(N_("Grubbs' test needs at least three values."))
    t = float(stdtrit(n - 2, 1.0 - alpha / ((2 if two_sided else 1) * n)))
    return (n - 1) / sqrt(n) * sqrt(t * t / (n - 2 + t * t))


def grubbs(
    values: Numbers,
    alpha: float = SIGNIFICANCE,
    side: Literal["both", "largest", "smallest"] = "both",
) -> Grubbs | None:
    """Grubbs' test for one outlier; None where all values are equal.

    With three values G cannot exceed 1.1547, so that the test is nearly blind there. The side is
    part of the question: "both" asks with α/2 on either side.
    """
    x = vector(values, "values", at_least=3)
    deviation = x - x.mean()
    sd = sqrt(float(deviation @ deviation) / (len(x) - 1))
    if sd <= _rounding(x):
        return None
    ranked = np.abs(deviation) if side == "both" else deviation if side == "largest" else -deviation
    index = int(ranked.argmax())
    g = float(ranked[index]) / sd
    critical = grubbs_critical(len(x), alpha, side == "both")
    return Grubbs(g, critical, index, side == "both", g > critical)


def _rounding(x: Floats) -> float:
    """A standard deviation at or below this is nothing but rounding of equal values."""
    return 4 * float(np.finfo(np.float64).eps) * float(np.abs(x).max()) + 1e-300
