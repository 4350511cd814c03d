"""Estimates that a few wild values cannot drag away: M-estimates of a line and of a mean.

Sources: Huber, Ann. Math. Statist. 35 (1964) 73 (M-estimate, proposal 2); Beaton and Tukey,
Technometrics 16 (1974) 147 (bisquare); Venables and Ripley, "Modern Applied Statistics with S"
(2002), 5.5 and 6.5 for the iterations. An M-estimate does not resist a point with a far larger x than
the rest: leverage and Cook's distance (influence.py) are for that.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, pi, sqrt

import numpy as np
from scipy.special import ndtr

from app.statistics.domain import FloatArray, Numbers, outside, uncertainties, vector
from app.statistics.outliers import MAD_TO_SD, MEAN_AD_TO_SD, median
from app.words import N_, Message

HUBER_TUNING = 1.345
"""95 % efficiency for normal errors: Holland and Welsch, Comm. Statist. A 6 (1977) 813."""
BISQUARE_TUNING = 4.685
"""95 % efficiency for normal errors: Holland and Welsch, Comm. Statist. A 6 (1977) 813."""


@dataclass(frozen=True)
class RobustLine:
    """y = b·x by an M-estimate. `weights` (0 to 1) show how far each point was trusted.

    `scale` is the robust residual sd (median |r|/0.6745); 0 where the points lie on the line exactly.
    `u_slope` is Huber's asymptotic one, None for a single point or a zero scale; `caution` says where
    the scale had to fall back.
    """

    slope: float
    u_slope: float | None
    scale: float
    weights: FloatArray
    converged: bool
    iterations: int
    caution: Message | None = None


@dataclass(frozen=True)
class RobustMean:
    """Location and scale by Huber's proposal 2."""

    mean: float
    sd: float
    converged: bool
    iterations: int


Weighing = Callable[[FloatArray, float], FloatArray]


def _huber_weights(ratio: FloatArray, tuning: float) -> FloatArray:
    return tuning / np.maximum(np.abs(ratio), tuning)


def _bisquare_weights(ratio: FloatArray, tuning: float) -> FloatArray:
    return np.square(np.maximum(0.0, 1.0 - np.square(ratio / tuning)))


def huber_line(
    x: Numbers, y: Numbers, weights: Numbers | None = None, tuning: float = HUBER_TUNING
) -> RobustLine:
    """Huber's M-estimate of a line through the origin, the scale re-estimated at each step.

    `weights` are 1/variance up to a common factor; the residuals judged are then √w·(y − bx), and
    `scale` is theirs. Raises `OutsideDomain` where every x is zero.
    """
    xs, ys = _points(x, y, weights)
    start = float(xs @ ys) / float(xs @ xs)
    return _iterate(xs, ys, start, _huber_weights, tuning)


def bisquare_line(
    x: Numbers, y: Numbers, weights: Numbers | None = None, tuning: float = BISQUARE_TUNING
) -> RobustLine:
    """Tukey's bisquare M-estimate through the origin: a point far enough away counts nothing at all.

    Its criterion has several minima, so it starts from Huber's estimate and not from least squares.
    """
    xs, ys = _points(x, y, weights)
    first = _iterate(xs, ys, float(xs @ ys) / float(xs @ xs), _huber_weights, HUBER_TUNING)
    return _iterate(xs, ys, first.slope, _bisquare_weights, tuning)


def _points(x: Numbers, y: Numbers, weights: Numbers | None) -> tuple[FloatArray, FloatArray]:
    xs, ys = vector(x, "x"), vector(y, "y")
    if xs.shape != ys.shape:
        raise outside(N_("%(name)s: one value is needed for each reading."), name="y")
    if weights is not None:
        root = np.sqrt(uncertainties(weights, "weights", xs))
        xs, ys = xs * root, ys * root
    if float(xs @ xs) < 1e-120:
        raise outside(N_("A line through the origin needs a point away from it: every x is zero."))
    return xs, ys


def _scale(residuals: FloatArray, tie: float) -> tuple[float, bool]:
    """Robust sd of residuals, and whether more than half of them are zero (the median is blind)."""
    absolute = np.abs(residuals)
    middle = median(absolute)
    if middle > tie:
        return middle / MAD_TO_SD, False
    mean = float(absolute.mean())
    return (MEAN_AD_TO_SD * mean if mean > tie else 0.0), True


def _iterate(
    x: FloatArray, y: FloatArray, slope: float, weigh: Weighing, tuning: float, most: int = 200
) -> RobustLine:
    """Iteratively reweighted least squares until slope and scale stand still.

    `most` steps, many times what any class has needed (our own choice).
    """
    xx, xy = np.square(x), x * y
    # Residuals at the level of rounding of the readings are exact hits.
    tie = 16 * float(np.finfo(np.float64).eps) * float(np.abs(y).max()) + 1e-300
    scale, blind = _scale(y - slope * x, tie)
    weights = np.ones_like(x)
    converged = False
    steps = 0
    for _ in range(most):
        steps += 1
        residuals = y - slope * x
        scale, blind = _scale(residuals, tie)
        if scale == 0.0:
            converged = True
            break
        weights = weigh(residuals / scale, tuning)
        bottom = float(weights @ xx)
        if bottom <= 1e-290:
            break
        after = float(weights @ xy) / bottom
        converged = abs(after - slope) <= 1e-11 * abs(after) or abs(after - slope) < 1e-290
        slope = after
        if converged:
            break
    return RobustLine(
        slope=slope,
        u_slope=_u_slope(x, y - slope * x, scale, weigh, tuning),
        scale=scale,
        weights=weights,
        converged=converged,
        iterations=steps,
        caution=Message(N_("More than half of the points lie on the line exactly: its scatter is a guess."))
        if blind and len(x) > 1
        else None,
    )


def _u_slope(
    x: FloatArray, residuals: FloatArray, scale: float, weigh: Weighing, tuning: float
) -> float | None:
    """Huber's asymptotic standard uncertainty with his small-sample factor (Huber 1981, (6.5))."""
    n = len(x)
    if n < 2 or scale == 0.0:
        return None
    ratio = residuals / scale
    weights = weigh(ratio, tuning)
    psi = weights * ratio
    if weigh is _huber_weights:
        slope_of_psi = (np.abs(ratio) <= tuning).astype(np.float64)
    else:
        part = np.square(ratio / tuning)
        slope_of_psi = np.where(part < 1.0, (1.0 - part) * (1.0 - 5.0 * part), 0.0)
    mean = float(slope_of_psi.mean())
    if mean <= 1e-6:
        return None
    factor = 1.0 + float(np.square(slope_of_psi - mean).mean()) / (n * mean * mean)
    variance = float(psi @ psi) * scale * scale / (n - 1) / (mean * mean) / float(x @ x)
    return factor * sqrt(variance)


def huber_mean(values: Numbers, tuning: float = 1.5) -> RobustMean:
    """Huber's proposal 2: mean and sd from values pulled in to mean ± tuning·sd, made consistent.

    One value gives itself and sd 0; so do equal values. Tuning 1.5: Venables and Ripley (2002), 5.5.
    """
    x = vector(values, "values")
    n = len(x)
    origin = median(x)
    shifted = x - origin
    tie = 16 * float(np.finfo(np.float64).eps) * float(np.abs(x).max()) + 1e-300
    sd, _ = _scale(shifted, tie)
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
