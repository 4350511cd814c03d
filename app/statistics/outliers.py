"""Values that stand apart from the rest: modified z-scores, Grubbs' test and the generalized ESD test.

Sources: Iglewicz and Hoaglin, "How to Detect and Handle Outliers" (ASQC 1993) for the modified z-score,
0.6745 and the limit 3.5; Grubbs, Technometrics 11 (1969) 1; Rosner, Technometrics 25 (1983) 165;
critical values as in NIST/SEMATECH e-Handbook 1.3.5.17.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np

from app.statistics.domain import FloatArray, Numbers, outside, vector
from app.statistics.quantiles import SIGNIFICANCE, student
from app.words import N_

MODIFIED_Z_LIMIT = 3.5
"""Iglewicz and Hoaglin (1993)."""
MAD_TO_SD = 0.6745
"""As printed by Iglewicz and Hoaglin (1993); the quartile of the normal is 0.67449."""
TIE = 8 * float(np.finfo(np.float64).eps)
"""A spread below this share of the largest value is the rounding of equal values (our own choice)."""
MEAN_AD_TO_SD = 1.253314
"""√(π/2) as Iglewicz and Hoaglin (1993) print it: their fallback where over half of the values are tied."""

ScaleRule = Literal["mad", "mean-ad", "floor", "none"]


@dataclass(frozen=True)
class ModifiedZ:
    """Modified z-scores in the order given.

    `scale` estimates one standard deviation (one number for each value where the floor is a vector);
    `rule` says where it came from: the median absolute deviation, the floor, the mean absolute
    deviation (more than half of the values tied and no floor), or none (all equal: scores are 0).
    """

    median: float
    mad: float
    mean_ad: float
    scores: FloatArray
    scale: FloatArray
    rule: ScaleRule

    def flagged(self, limit: float = MODIFIED_Z_LIMIT) -> tuple[int, ...]:
        """Positions with |score| > limit."""
        return tuple(int(i) for i in np.flatnonzero(np.abs(self.scores) > limit))


def median(values: FloatArray) -> float:
    """Median of a one-dimensional array with no NaN (a tenth of the cost of `np.median`)."""
    ordered = values.copy()
    ordered.sort()
    half = len(ordered) // 2
    return float(ordered[half]) if len(ordered) % 2 else 0.5 * float(ordered[half - 1] + ordered[half])


def modified_z(values: Numbers, floor: float | Numbers = 0.0) -> ModifiedZ:
    """M_i = 0.6745 (x_i − median)/MAD, with a scale that never falls below `floor`.

    `floor` is the standard deviation that the instrument alone gives a value (one number, or one
    for each value), in the unit of the values: ties on a coarse scale then never flag half the class.
    Where MAD = 0 the floor is the scale; without a floor the mean absolute deviation takes over, and
    where that is 0 too every score is 0.
    """
    x = vector(values, "values")
    least = np.asarray(floor, dtype=np.float64)
    if least.ndim > 1 or (least.ndim == 1 and least.shape != x.shape):
        raise outside(N_("%(name)s: one value is needed for each reading."), name="floor")
    if not (float(least.min()) >= 0.0 and float(least.max()) <= 1e60):
        raise outside(N_("%(name)s: every value must be a finite number of a usable size."), name="floor")
    middle = median(x)
    deviation = x - middle
    absolute = np.abs(deviation)
    mad, mean_ad = median(absolute), float(absolute.mean())
    rule: ScaleRule = "mad"
    # A spread at the level of the rounding of the values themselves is a tie.
    tie = TIE * float(np.abs(x).max()) + 1e-300
    if mad > tie:
        scale = np.maximum(mad / MAD_TO_SD, least)
        if bool(np.all(least > mad / MAD_TO_SD)):
            rule = "floor"
    elif bool(np.all(least > tie)):
        scale, rule = least, "floor"
    elif mean_ad > tie:
        scale, rule = np.maximum(MEAN_AD_TO_SD * mean_ad, least), "mean-ad"
    else:
        scale, rule = np.ones(()), "none"
    scores = np.zeros_like(x) if rule == "none" else deviation / scale
    spread = np.zeros_like(x) if rule == "none" else np.broadcast_to(scale, x.shape).copy()
    return ModifiedZ(middle, mad, mean_ad, scores, spread, rule)


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
    t = student(n - 2, 1.0 - alpha / ((2 if two_sided else 1) * n))
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


def _rounding(x: FloatArray) -> float:
    """A standard deviation at or below this is nothing but rounding of equal values."""
    return 4 * float(np.finfo(np.float64).eps) * float(np.abs(x).max()) + 1e-300


@dataclass(frozen=True)
class GeneralizedESD:
    """The generalized extreme studentized deviate test: every step, and who is out.

    `r` and `critical` have one entry for each step; `removed` are the positions in the order of
    removal; `outliers` are the first of them, up to the LARGEST step whose R exceeds its critical
    value (an earlier step below it does not stop the test: that is how masking is beaten).
    """

    r: tuple[float, ...]
    critical: tuple[float, ...]
    removed: tuple[int, ...]
    outliers: tuple[int, ...]


def generalized_esd_critical(n: int, step: int, alpha: float = SIGNIFICANCE) -> float:
    """λ of step 1, 2, … for n values: (n−i)t/√((n−i−1+t²)(n−i+1)), t at 1 − α/(2(n−i+1)), n−i−1 dof."""
    left = n - step
    if step < 1 or left < 2:
        raise outside(N_("The generalized ESD test must leave at least two values."))
    t = student(left - 1, 1.0 - alpha / (2 * (left + 1)))
    return left * t / sqrt((left - 1 + t * t) * (left + 1))


def generalized_esd(values: Numbers, most: int, alpha: float = SIGNIFICANCE) -> GeneralizedESD:
    """Up to `most` outliers among the values (no step leaves fewer than two).

    Meant for n ≥ 25, usable from about 15 (Rosner). Of equal extremes the first position is removed.
    Stops where all remaining values are equal.
    """
    x = vector(values, "values")
    alive = np.arange(len(x))
    threshold = _rounding(x)
    rs: list[float] = []
    critical: list[float] = []
    removed: list[int] = []
    outliers = 0
    for step in range(1, min(most, len(x) - 2) + 1):
        left = x[alive]
        deviation = np.abs(left - left.mean())
        sd = sqrt(float(deviation @ deviation) / (len(left) - 1))
        if sd <= threshold:
            break
        worst = int(deviation.argmax())
        rs.append(float(deviation[worst]) / sd)
        critical.append(generalized_esd_critical(len(x), step, alpha))
        removed.append(int(alive[worst]))
        alive = np.delete(alive, worst)
        if rs[-1] > critical[-1]:
            outliers = step
    return GeneralizedESD(tuple(rs), tuple(critical), tuple(removed), tuple(removed[:outliers]))
