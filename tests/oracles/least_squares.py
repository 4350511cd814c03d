"""Least squares through the origin, y = b·x.

Source: NIST Statistical Reference Datasets (NoInt1) for the conventions of a fit without intercept (uncentred
R², n − 1 degrees of freedom).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.statistics.domain import SMALLEST, Floats, Numbers, outside, uncertainties, vector
from app.words import N_


@dataclass(frozen=True)
class OriginFit:
    """Least squares of y = b·x. Figures that need a second point are None where there is one.

    `residuals` and `leverage` have one entry for each point, in the order given.
    """

    slope: float
    u_slope: float | None
    residual_sd: float | None
    r2_uncentred: float | None
    ss_regression: float
    ss_residual: float
    f: float | None
    n: int
    dof: int
    residuals: Floats
    leverage: Floats


def fit_through_origin(x: Numbers, y: Numbers, weights: Numbers | None = None) -> OriginFit:
    """Least squares through the origin: b = Σwxy/Σwx², u(b) = s/√Σwx², s² = SSE/(n − 1).

    `weights` are 1/variance, up to a common factor; residuals and leverage are then those of the
    scaled points √w·x, √w·y. Raises `OutsideDomain` where every x is zero.
    """
    xs, ys = vector(x, "x"), vector(y, "y")
    if xs.shape != ys.shape:
        raise outside(N_("%(name)s: one value is needed for each reading."), name="y")
    unit_w = 1.0
    if weights is not None:
        w = uncertainties(weights, "weights", xs)
        unit_w = float(w.max())
        root = np.sqrt(w / unit_w)
        xs, ys = xs * root, ys * root
    unit_x, unit_y = float(np.abs(xs).max()), max(float(np.abs(ys).max()), SMALLEST)
    if unit_x < SMALLEST:
        raise outside(N_("A line through the origin needs a point away from it: every x is zero."))
    xs, ys = xs / unit_x, ys / unit_y
    squares = float(xs @ xs)
    inner = float(xs @ ys) / squares
    residuals = ys - inner * xs
    sse = float(residuals @ residuals)
    ssr = inner * inner * squares
    n = len(xs)
    dof = n - 1
    total = float(ys @ ys)
    sd = sqrt(sse / dof) if dof else None
    unit = unit_y * sqrt(unit_w)
    return OriginFit(
        slope=inner * unit_y / unit_x,
        u_slope=None if sd is None else sd / sqrt(squares) * unit_y / unit_x,
        residual_sd=None if sd is None else sd * unit,
        r2_uncentred=1.0 - sse / total if dof and total > 0 else None,
        ss_regression=ssr * unit * unit,
        ss_residual=sse * unit * unit,
        f=_ratio(ssr, sse / dof) if dof else None,
        n=n,
        dof=dof,
        residuals=residuals * unit,
        leverage=np.square(xs) / squares,
    )


def _ratio(top: float, bottom: float) -> float | None:
    """top/bottom, or None where that is no finite number."""
    return top / bottom if bottom > 1e-300 and top / bottom < 1e300 else None
