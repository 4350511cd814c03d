"""A straight line through the origin, y = b·x, with errors in both variables.

Sources: York et al., Am. J. Phys. 72 (2004) 367 for errors in both; Birge, Phys. Rev. 40 (1932) 207 for
the ratio that widens an uncertainty when the points disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt, tan

import numpy as np

from app.statistics.domain import SMALLEST, FloatArray, Numbers, outside, uncertainties, vector
from app.words import N_


@dataclass(frozen=True)
class ErrorsInBothFit:
    """y = b·x with u(x) and u(y) known: b minimises χ² = Σ (y − bx)²/(u_y² + b² u_x²).

    `u_slope` comes from the curvature of χ² at its minimum and `u_slope_york` from York's formula
    1/√(ΣWx̂²); both are unscaled, they take the stated uncertainties for true. `birge` = √(χ²/dof);
    `u_slope_birge` is York's multiplied by max(1, birge). `adjusted_x` are the fitted x.
    """

    slope: float
    u_slope: float
    u_slope_york: float
    u_slope_birge: float
    chi2: float
    dof: int
    birge: float | None
    converged: bool
    residuals: FloatArray
    adjusted_x: FloatArray


_SLOPES = np.tan((np.arange(32) + 0.5) / 32 * pi - pi / 2)
"""Slopes at 32 even angles to start from, close enough to part neighbouring minima (our own choice)."""


def fit_errors_in_both(x: Numbers, y: Numbers, u_x: Numbers, u_y: Numbers) -> ErrorsInBothFit:
    """Line through the origin with uncertainties in both variables, independent of each other.

    Either `u_x` or `u_y` of a point may be 0, not both. The minimum is looked for over all
    directions, so that a start value cannot lead into the wrong one, then polished by Newton's
    method inside its bracket. Raises `OutsideDomain` where the best line is the y axis itself.
    """
    xs, ys = vector(x, "x"), vector(y, "y")
    if xs.shape != ys.shape:
        raise outside(N_("%(name)s: one value is needed for each reading."), name="y")
    ux = uncertainties(u_x, "u_x", xs, zero_allowed=True)
    uy = uncertainties(u_y, "u_y", xs, zero_allowed=True)
    if float((ux + uy).min()) <= 0.0:
        raise outside(N_("A point needs an uncertainty in x or in y."))
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
    low, high = _bracket(xs, ys, vx, vy)
    slope, converged = _polish(xs, ys, vx, vy, low, high)
    w = 1.0 / (vy + slope * slope * vx)
    r = ys - slope * xs
    chi2 = float(w @ np.square(r))
    adjusted = xs + slope * vx * w * r
    curvature = _half_curvature(slope, xs, r, vx, w)
    york = float(w @ np.square(adjusted))
    if not (curvature > 0.0 and york > 0.0):
        raise outside(N_("These points do not fix the slope of a line through the origin."))
    dof = len(xs) - 1
    birge = sqrt(chi2 / dof) if dof else None
    unit = unit_y / unit_x
    u_york = unit / sqrt(york)
    return ErrorsInBothFit(
        slope=unit * slope,
        u_slope=unit / sqrt(curvature),
        u_slope_york=u_york,
        u_slope_birge=u_york * max(1.0, birge or 0.0),
        chi2=chi2,
        dof=dof,
        birge=birge,
        converged=converged,
        residuals=unit_y * r,
        adjusted_x=unit_x * adjusted,
    )


def _half_gradient(b: float, x: FloatArray, y: FloatArray, vx: FloatArray, vy: FloatArray) -> float:
    """½ dχ²/db = −Σ W r x̂ with x̂ = x + b u_x² W r."""
    w = 1.0 / (vy + b * b * vx)
    r = y - b * x
    return -float((w * r) @ (x + b * vx * w * r))


def _half_curvature(b: float, x: FloatArray, r: FloatArray, vx: FloatArray, w: FloatArray) -> float:
    """½ d²χ²/db², exact."""
    shift = b * vx * w
    return float(
        w @ (np.square(x) + 4.0 * x * r * shift - np.square(r) * vx * w + 4.0 * np.square(r * shift))
    )


def _bracket(x: FloatArray, y: FloatArray, vx: FloatArray, vy: FloatArray) -> tuple[float, float]:
    """Two slopes with the lowest χ² between them, by a look in 32 directions."""
    w = 1.0 / (vy + np.square(_SLOPES)[:, None] * vx)
    chi2 = (w * np.square(y - _SLOPES[:, None] * x)).sum(axis=1)
    best = int(chi2.argmin())
    far = tan(pi / 2 - 1e-9)
    low = float(_SLOPES[best - 1]) if best > 0 else -far
    high = float(_SLOPES[best + 1]) if best + 1 < len(_SLOPES) else far
    if not (_half_gradient(low, x, y, vx, vy) <= 0.0 <= _half_gradient(high, x, y, vx, vy)):
        raise outside(N_("These points do not fix the slope of a line through the origin."))
    return low, high


def _polish(
    x: FloatArray, y: FloatArray, vx: FloatArray, vy: FloatArray, low: float, high: float
) -> tuple[float, bool]:
    """Root of the gradient between `low` (falling) and `high` (rising): Newton, else bisection."""
    b = 0.5 * (low + high)
    for _ in range(200):
        w = 1.0 / (vy + b * b * vx)
        r = y - b * x
        gradient = -float((w * r) @ (x + b * vx * w * r))
        if gradient < 0.0:
            low = b
        else:
            high = b
        curvature = _half_curvature(b, x, r, vx, w)
        step = b - gradient / curvature if curvature > 0.0 else low
        after = step if low < step < high else 0.5 * (low + high)
        if abs(after - b) <= 4e-15 * max(abs(after), 1e-290) or gradient == 0.0:
            return (b if gradient == 0.0 else after), True
        b = after
    return b, False
