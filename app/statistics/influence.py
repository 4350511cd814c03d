"""How far single points move a line through the origin: leverage, Cook's distance, studentized residuals.

Sources: Cook, Technometrics 19 (1977) 15; Belsley, Kuh and Welsch, "Regression Diagnostics" (1980)
for the externally studentized residual.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.statistics.domain import SMALLEST, Floats, Numbers, outside, points, uncertainties
from app.words import N_


@dataclass(frozen=True)
class Influence:
    """One entry for each point, in the order given; None where a figure is undefined.

    `cooks_distance` and `studentized` (external: the sd comes from the other points) are None for a point
    that alone fixes the slope, and where too few points are left to judge by or these lie on the line
    exactly.
    """

    leverage: Floats
    cooks_distance: tuple[float | None, ...]
    studentized: tuple[float | None, ...]


def influence(x: Numbers, y: Numbers, weights: Numbers) -> Influence:
    """Influence of each point on y = b·x by least squares weighted by 1/variance (up to a common factor).

    Of points scaled by √w: leverage h = x²/Σx²; with the residuals r and s² = Σr²/(n − 1), Cook's D =
    r²h/(s²(1 − h)²); studentized t = r/(s'√(1 − h)), s' being the s of the line without the point.
    """
    xs, ys = points(x, y)
    root = np.sqrt(uncertainties(weights, "weights", ys))
    xs, ys = xs * root, ys * root
    size = float(np.abs(xs).max())
    if size < SMALLEST:
        raise outside(N_("There are too few different points for this fit."))
    # x in units of the largest: the fitted values do not depend on it.
    xs = xs / size
    leverage = np.square(xs) / float(xs @ xs)
    residuals = ys - float(xs @ ys) / float(xs @ xs) * xs
    n, squares, free = len(xs), np.square(residuals), 1.0 - leverage
    sse, exact = float(squares.sum()), 1e-26 * float(ys @ ys)
    alone = free < 1e-10
    safe = np.where(alone, 1.0, free)
    cooks: list[float | None] = [None] * n
    studentized: list[float | None] = [None] * n
    if n > 1 and sse > exact:
        distance = squares * leverage / (sse / (n - 1) * np.square(safe))
        cooks = [None if a else float(d) for a, d in zip(alone, distance, strict=True)]
    if n > 2:
        # Sum of squares of the line without the point, without fitting again.
        left = np.maximum(0.0, sse - squares / safe)
        # What is left of a difference of sums that are alike to twelve digits is rounding (our own choice).
        known = ~alone & (left > max(exact, 1e-12 * sse))
        t = residuals / np.sqrt(np.where(known, left / (n - 2), 1.0) * safe)
        studentized = [float(v) if k else None for k, v in zip(known, t, strict=True)]
    return Influence(leverage, tuple(cooks), tuple(studentized))
