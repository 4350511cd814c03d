"""A line through the origin that a few wild points cannot drag away: an M-estimate.

Sources: Huber, Ann. Math. Statist. 35 (1964) 73; Venables and Ripley, "Modern Applied Statistics with S"
(2002), 6.5 for the iterations. An M-estimate does not resist a point with a far larger x than the rest:
leverage and Cook's distance (influence.py) are for that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.statistics.domain import Floats, Numbers, outside, points
from app.words import N_

MODIFIED_Z_LIMIT = 3.5
"""A robust score beyond this is an outlier's: Iglewicz and Hoaglin, "How to Detect and Handle Outliers" (ASQC
1993)."""
MAD_TO_SD = 0.6745
"""MAD/0.6745 estimates a standard deviation: Iglewicz and Hoaglin (1993). The normal quartile is 0.67449."""
MEAN_AD_TO_SD = 1.253314
"""√(π/2) as Iglewicz and Hoaglin (1993) print it: their fallback where over half of the values are tied."""
HUBER_TUNING = 1.345
"""95 % efficiency for normal errors: Holland and Welsch, Comm. Statist. A 6 (1977) 813."""
_MOST_STEPS = 200
"""Many times what any class has needed (our own choice)."""


@dataclass(frozen=True)
class RobustLine:
    """y = b·x by Huber's M-estimate.

    `scale` is the robust residual sd (median |r|/0.6745); 0 where the points lie on the line exactly.
    """

    slope: float
    scale: float


def huber_line(x: Numbers, y: Numbers, tuning: float = HUBER_TUNING) -> RobustLine:
    """Huber's M-estimate of a line through the origin, by iteratively reweighted least squares.

    A point weighs 1 up to `tuning` residual sds and from there on 1/|ratio|; the scale is estimated anew at
    each step. Starts from the median of y/x, which half of the points cannot move. Raises `OutsideDomain`
    where every x is zero.
    """
    xs, ys = points(x, y)
    if float(xs @ xs) < 1e-120:
        raise outside(N_("A line through the origin needs a point away from it: every x is zero."))
    away = np.abs(xs) > 1e-12 * np.abs(xs).max()
    slope, xx, xy = float(np.median(ys[away] / xs[away])), np.square(xs), xs * ys
    # Residuals at the level of rounding of the readings are exact hits.
    tie = 16 * float(np.finfo(np.float64).eps) * float(np.abs(ys).max()) + 1e-300
    scale = 0.0
    for _ in range(_MOST_STEPS):
        residuals = ys - slope * xs
        scale = robust_sd(residuals, tie)
        if scale == 0.0:
            break
        weights = tuning / np.maximum(np.abs(residuals / scale), tuning)
        bottom = float(weights @ xx)
        if bottom <= 1e-290:
            break
        before, slope = slope, float(weights @ xy) / bottom
        if abs(slope - before) <= 1e-11 * abs(slope) or abs(slope - before) < 1e-290:
            break
    return RobustLine(slope, scale)


def robust_sd(residuals: Floats, tie: float) -> float:
    """median |r|/0.6745, or from the mean |r| where more than half of the residuals are zero."""
    absolute = np.abs(residuals)
    middle = float(np.median(absolute))
    if middle > tie:
        return middle / MAD_TO_SD
    mean = float(absolute.mean())
    return MEAN_AD_TO_SD * mean if mean > tie else 0.0
