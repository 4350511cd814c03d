"""Further robust estimates: Tukey's bisquare line and Huber's proposal 2 for a mean.

Sources: Beaton and Tukey, Technometrics 16 (1974) 147 (bisquare); Huber, Ann. Math. Statist. 35 (1964) 73
(proposal 2); Venables and Ripley, "Modern Applied Statistics with S" (2002), 5.5 and 6.5 for the iterations.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, pi, sqrt

import numpy as np
from scipy.special import ndtr

from app.statistics.domain import Numbers, vector
from app.statistics.robust import RobustLine, huber_line, robust_sd


@dataclass(frozen=True)
class RobustMean:
    """Location and scale by Huber's proposal 2."""

    mean: float
    sd: float
    converged: bool
    iterations: int


def bisquare_line(x: Numbers, y: Numbers, tuning: float) -> RobustLine:
    """Tukey's bisquare M-estimate through the origin: a point far enough away counts nothing at all.

    Its criterion has several minima, so it starts from Huber's estimate and not from least squares.
    """
    xs, ys = vector(x, "x"), vector(y, "y")
    slope, scale = huber_line(x, y).slope, 0.0
    for _ in range(200):
        residuals = ys - slope * xs
        scale = robust_sd(residuals, 1e-300)
        weights = np.square(np.maximum(0.0, 1.0 - np.square(residuals / (tuning * scale))))
        slope = float(weights @ (xs * ys)) / float(weights @ np.square(xs))
    return RobustLine(slope, scale)


def huber_mean(values: Numbers, tuning: float = 1.5) -> RobustMean:
    """Huber's proposal 2: mean and sd from values pulled in to mean ± tuning·sd, made consistent.

    One value gives itself and sd 0; so do equal values. Tuning 1.5: Venables and Ripley (2002), 5.5.
    """
    x = vector(values, "values")
    n = len(x)
    origin = float(np.median(x))
    shifted = x - origin
    tie = 16 * float(np.finfo(np.float64).eps) * float(np.abs(x).max()) + 1e-300
    sd = robust_sd(shifted, tie)
    if n < 2 or sd == 0.0:
        return RobustMean(origin, 0.0, True, 0)
    inside = 2.0 * float(ndtr(tuning)) - 1.0
    beta = inside + tuning**2 * (1.0 - inside) - 2.0 * tuning * exp(-(tuning**2) / 2) / sqrt(2.0 * pi)
    mean = 0.0
    for step in range(1, 501):
        pulled = np.clip(shifted, mean - tuning * sd, mean + tuning * sd)
        new_mean = float(pulled.mean())
        new_sd = sqrt(float(np.square(pulled - new_mean).sum()) / (n - 1) / beta)
        done = abs(new_mean - mean) < 1e-10 * sd and abs(new_sd - sd) < 1e-10 * sd
        mean, sd = new_mean, new_sd
        if done or sd <= tie:
            return RobustMean(origin + mean, sd, done, step)
    return RobustMean(origin + mean, sd, False, 500)
