"""A straight line with an offset, y = a + b·x, with errors in both variables.

Sources: York, Evensen, López Martínez and De Basabe Delgado, Am. J. Phys. 72 (2004) 367, equations 13 (slope,
intercept and their uncertainties); Pearson, Phil. Mag. 2 (1901) 559 with York's weights is the classic check.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.statistics.domain import (
    SMALLEST,
    Floats,
    Numbers,
    outside,
    uncertain_pairs,
)
from app.words import N_


@dataclass(frozen=True)
class YorkLine:
    """y = a + b·x with u(x) and u(y) known. Uncertainties are unscaled: the stated ones are taken for true.

    `mswd` = χ²/dof (the square of the Birge ratio); None for two points.
    """

    slope: float
    intercept: float
    u_slope: float
    u_intercept: float
    covariance: float
    chi2: float
    dof: int
    mswd: float | None
    converged: bool
    iterations: int


def _level(x: Floats, deviation: Floats) -> bool:
    """Whether the x differ by nothing but rounding."""
    return float(np.abs(deviation).max()) <= 1e-13 * float(np.abs(x).max())


def fit_york(x: Numbers, y: Numbers, u_x: Numbers, u_y: Numbers, most: int = 500) -> YorkLine:
    """York's line: minimises Σ W_i (y_i − a − b x_i)², W_i = 1/(u_y² + b² u_x²), independent errors.

    Either uncertainty of a point may be 0, not both. Raises `OutsideDomain` for fewer than two
    points, equal x, or points whose best line is upright. `most` steps, many times what Pearson's data with
    York's weights need (our own choice).
    """
    xs, ys, ux, uy = uncertain_pairs(x, y, u_x, u_y, at_least=2)
    # Worked about the mean and in units of the widest distance from it (or the largest uncertainty).
    mid_x, mid_y = float(xs.mean()), float(ys.mean())
    dx, dy = xs - mid_x, ys - mid_y
    if _level(xs, dx):
        raise outside(N_("A line with an offset needs two different x values."))
    if float(np.abs(dx).max()) < SMALLEST:
        raise outside(N_("A line with an offset needs two different x values."))
    unit_x = max(float(np.abs(dx).max()), float(ux.max()))
    unit_y = max(float(np.abs(dy).max()), float(uy.max()), SMALLEST)
    vx, vy = np.square(ux / unit_x), np.square(uy / unit_y)
    # A point exact in y weighs infinitely on a level line: let it weigh hugely instead.
    vy = np.maximum(vy, 1e-60)
    if float((vx + vy).min()) < 1e-58 or float(np.abs(dx).max()) < 1e-15 * unit_x:
        raise outside(N_("The uncertainties must be of a size comparable with the readings."))
    px, py = dx / unit_x, dy / unit_y
    slope = float(px @ py) / float(px @ px)
    converged = False
    steps = 0
    for _ in range(most):
        steps += 1
        w = 1.0 / (vy + slope * slope * vx)
        total = float(w.sum())
        u = px - float(w @ px) / total
        v = py - float(w @ py) / total
        beta = w * (u * vy + slope * v * vx)
        bottom = float((w * beta) @ u)
        if not abs(bottom) > 1e-290:
            raise outside(N_("These points do not fix the slope of a line."))
        after = float((w * beta) @ v) / bottom
        if not abs(after) < 1e30:
            raise outside(N_("These points do not fix the slope of a line."))
        converged = abs(after - slope) <= 1e-14 * abs(after) or abs(after - slope) < 1e-290
        slope = after
        if converged:
            break
    w = 1.0 / (vy + slope * slope * vx)
    total = float(w.sum())
    centre_x, centre_y = float(w @ px) / total, float(w @ py) / total
    intercept = centre_y - slope * centre_x
    chi2 = float(w @ np.square(py - intercept - slope * px))
    beta = w * ((px - centre_x) * vy + slope * (py - centre_y) * vx)
    adjusted = centre_x + beta
    middle = float(w @ adjusted) / total
    spread = float(w @ np.square(adjusted - middle))
    if not spread > 1e-290:
        raise outside(N_("These points do not fix the slope of a line."))
    # Back to the units and the origin given: x = 0 lies at −mid_x/unit_x on the inner scale.
    unit = unit_y / unit_x
    middle += mid_x / unit_x
    u_slope = unit / sqrt(spread)
    dof = len(xs) - 2
    return YorkLine(
        slope=unit * slope,
        intercept=mid_y + unit_y * (intercept - slope * mid_x / unit_x),
        u_slope=u_slope,
        u_intercept=unit_y * sqrt(1.0 / total + middle * middle / spread),
        covariance=-unit_x * middle * u_slope * u_slope,
        chi2=chi2,
        dof=dof,
        mswd=chi2 / dof if dof else None,
        converged=converged,
        iterations=steps,
    )
