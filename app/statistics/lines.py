"""Straight lines: through the origin with errors in both variables, and with an offset by least squares.

Sources: York et al., Am. J. Phys. 72 (2004) 367 for errors in both; Birge, Phys. Rev. 40 (1932) 207 for
the ratio by which the points scatter more, or less, than their uncertainties say.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, pi, sqrt, tan

import numpy as np
from scipy.optimize import brentq

from app.statistics.domain import (
    SMALLEST,
    Floats,
    Numbers,
    outside,
    points,
    uncertain_pairs,
    uncertainties,
)
from app.words import N_


@dataclass(frozen=True)
class LineThroughOrigin:
    """y = b·x with u(x) and u(y) known: b minimizes χ² = Σ (y − bx)²/(u_y² + b² u_x²).

    `u_slope` is York's 1/√(ΣWx̂²), x̂ being the fitted x; it takes the stated uncertainties for true. `birge` =
    √(χ²/(n − 1)); None for one point.
    """

    slope: float
    u_slope: float
    birge: float | None
    residuals: Floats


@dataclass(frozen=True)
class LineWithOffset:
    """y = a + b·x by least squares."""

    slope: float
    intercept: float
    u_intercept: float


_SLOPES = np.tan((np.arange(32) + 0.5) / 32 * pi - pi / 2)
"""Slopes at 32 even angles to start from, close enough to part neighbouring minima (our own choice)."""


def line_through_origin(x: Numbers, y: Numbers, u_x: Numbers, u_y: Numbers) -> LineThroughOrigin:
    """Line through the origin with uncertainties in both variables, independent of each other.

    Either `u_x` or `u_y` of a point may be 0, not both. The minimum is looked for over all directions, so
    that a start value cannot lead into the wrong one. Raises `OutsideDomain` where the best line is the y
    axis itself.
    """
    xs, ys, ux, uy = uncertain_pairs(x, y, u_x, u_y)
    # Worked in units of the largest x and the largest y (or uncertainty): nothing overflows, and
    # changing the unit of either changes nothing but the unit of the answer.
    if float(np.abs(xs).max()) < SMALLEST:
        raise outside(N_("A line through the origin needs a point away from it: every x is zero."))
    unit_x = max(float(np.abs(xs).max()), float(ux.max()))
    unit_y = max(float(np.abs(ys).max()), float(uy.max()), SMALLEST)
    xs, ys = xs / unit_x, ys / unit_y
    vx, vy = np.square(ux / unit_x), np.square(uy / unit_y)
    # A point exact in y weighs infinitely on a level line: let it weigh hugely instead.
    vy = np.maximum(vy, 1e-60)
    if float((vx + vy).min()) < 1e-58 or float(np.abs(xs).max()) < 1e-15:
        raise outside(N_("The uncertainties must be of a size comparable with the readings."))
    slope = _lowest(xs, ys, vx, vy)
    w = 1.0 / (vy + slope * slope * vx)
    r = ys - slope * xs
    york = float(w @ np.square(xs + slope * vx * w * r))
    if not york > 0.0:
        raise outside(N_("These points do not fix the slope of a line through the origin."))
    dof = len(xs) - 1
    return LineThroughOrigin(
        slope=unit_y / unit_x * slope,
        u_slope=unit_y / unit_x / sqrt(york),
        birge=sqrt(float(w @ np.square(r)) / dof) if dof else None,
        residuals=unit_y * r,
    )


def _lowest(x: Floats, y: Floats, vx: Floats, vy: Floats) -> float:
    """The slope with the lowest χ²: bracketed by a look in 32 directions, then the root of dχ²/db."""

    def half_gradient(b: float) -> float:
        """½ dχ²/db = −Σ W r x̂ with x̂ = x + b u_x² W r."""
        w = 1.0 / (vy + b * b * vx)
        r = y - b * x
        return -float((w * r) @ (x + b * vx * w * r))

    w = 1.0 / (vy + np.square(_SLOPES)[:, None] * vx)
    chi2 = (w * np.square(y - _SLOPES[:, None] * x)).sum(axis=1)
    best = int(chi2.argmin())
    far = tan(pi / 2 - 1e-9)
    low = float(_SLOPES[best - 1]) if best > 0 else -far
    high = float(_SLOPES[best + 1]) if best + 1 < len(_SLOPES) else far
    if not (half_gradient(low) <= 0.0 <= half_gradient(high)):
        raise outside(N_("These points do not fix the slope of a line through the origin."))
    return float(brentq(half_gradient, low, high, xtol=1e-30, rtol=1e-14, maxiter=500))


def line_with_offset(x: Numbers, y: Numbers, weights: Numbers, least_sd: float = 0.0) -> LineWithOffset:
    """Least squares with an offset, weighted by 1/variance (up to a common factor).

    `least_sd` is the smallest residual sd that the uncertainty is worked out with, in the unit of √w·y: 1
    where the weights are 1/u² themselves, so that points which agree better than their u say narrow nothing.
    Raises `OutsideDomain` for fewer than three points, which leave nothing for the uncertainty, or where all
    x are equal.
    """
    xs, ys = points(x, y, at_least=3)
    w = uncertainties(weights, "weights", xs)
    # Weights in units of the largest, coordinates about their mean and in units of their reach.
    unit_w = float(w.max())
    w = w / unit_w
    total = float(w.sum())
    centre_x, centre_y = float(w @ xs) / total, float(w @ ys) / total
    dx, dy = xs - centre_x, ys - centre_y
    unit_x, unit_y = float(np.abs(dx).max()), max(float(np.abs(dy).max()), SMALLEST)
    only_rounding = unit_x <= 1e-13 * float(np.abs(xs).max())
    if only_rounding or unit_x < SMALLEST:
        raise outside(N_("A line with an offset needs two different x values."))
    dx, dy = dx / unit_x, dy / unit_y
    squares = float(w @ np.square(dx))
    if squares < 1e-100:
        raise outside(N_("A line with an offset needs two different x values."))
    inner = float((w * dx) @ dy) / squares
    slope = inner * unit_y / unit_x
    scatter = sqrt(float(w @ np.square(dy - inner * dx)) / (len(xs) - 2)) * unit_y
    sd = max(scatter, least_sd / sqrt(unit_w))
    u_intercept = hypot(sd / sqrt(total), centre_x * (sd / sqrt(squares) / unit_x))
    return LineWithOffset(slope, centre_y - slope * centre_x, u_intercept)
