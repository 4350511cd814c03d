"""A straight line with an offset, y = a + b·x, by least squares."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from app.statistics.domain import SMALLEST, FloatArray, Numbers, outside, uncertainties, vector
from app.words import N_


@dataclass(frozen=True)
class LeastSquaresLine:
    """y = a + b·x by least squares. With two points nothing is left for the uncertainties: None."""

    slope: float
    intercept: float
    u_slope: float | None
    u_intercept: float | None


def fit_line(
    x: Numbers, y: Numbers, weights: Numbers | None = None, least_sd: float = 0.0
) -> LeastSquaresLine:
    """Least squares with an offset, weighted by 1/variance (up to a common factor) where given.

    `least_sd` is the smallest residual sd that the uncertainties are worked out with, in the unit of √w·y: 1
    where the weights are 1/u² themselves, so that points which agree better than their u say narrow nothing.
    Raises `OutsideDomain` for fewer than two points or where all x are equal.
    """
    xs, ys = vector(x, "x", at_least=2), vector(y, "y", at_least=2)
    if xs.shape != ys.shape:
        raise outside(N_("%(name)s: one value is needed for each reading."), name="y")
    w = np.ones_like(xs) if weights is None else uncertainties(weights, "weights", xs)
    # Weights in units of the largest, coordinates about their mean and in units of their reach.
    unit_w = float(w.max())
    w = w / unit_w
    total = float(w.sum())
    centre_x, centre_y = float(w @ xs) / total, float(w @ ys) / total
    dx, dy = xs - centre_x, ys - centre_y
    unit_x, unit_y = float(np.abs(dx).max()), max(float(np.abs(dy).max()), SMALLEST)
    if _level(xs, dx) or unit_x < SMALLEST:
        raise outside(N_("A line with an offset needs two different x values."))
    dx, dy = dx / unit_x, dy / unit_y
    squares = float(w @ np.square(dx))
    if squares < 1e-100:
        raise outside(N_("A line with an offset needs two different x values."))
    inner = float((w * dx) @ dy) / squares
    residuals = dy - inner * dx
    sse = float(w @ np.square(residuals))
    dof = len(xs) - 2
    slope = inner * unit_y / unit_x
    sd = sqrt(sse / dof) * unit_y if dof else None
    used = None if sd is None else max(sd, least_sd / sqrt(unit_w))
    u_slope = None if used is None else used / sqrt(squares) / unit_x
    return LeastSquaresLine(
        slope=slope,
        intercept=centre_y - slope * centre_x,
        u_slope=u_slope,
        u_intercept=None
        if used is None or u_slope is None
        else hypot(used / sqrt(total), centre_x * u_slope),
    )


def _level(x: FloatArray, deviation: FloatArray) -> bool:
    """Whether the x differ by nothing but rounding."""
    return float(np.abs(deviation).max()) <= 1e-13 * float(np.abs(x).max())
