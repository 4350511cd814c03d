"""How far single points move a least-squares fit: leverage, Cook's distance, studentized residuals.

Sources: Cook, Technometrics 19 (1977) 15; Belsley, Kuh and Welsch, "Regression Diagnostics" (1980)
for the externally studentized residual; Bonferroni's bound for looking at all points at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.statistics.domain import LARGEST, FloatArray, Numbers, outside, uncertainties, vector
from app.words import N_


@dataclass(frozen=True)
class Influence:
    """One entry for each point, in the order given; None where a figure is undefined.

    `cooks_distance` and `studentized` (external: the sd comes from the other points) are None for a
    point that alone fixes a coefficient, and where nothing is left to judge by (n ≤ p + 1) or the
    other points lie on the line exactly and no floor was given.
    """

    leverage: FloatArray
    cooks_distance: tuple[float | None, ...]
    studentized: tuple[float | None, ...]
    n: int
    p: int


def influence(
    x: Numbers | NDArray[np.float64],
    y: Numbers,
    weights: Numbers | None = None,
    floor_sd: float = 0.0,
) -> Influence:
    """Influence of each point on y = x·b: `x` is a vector (line through the origin) or an (n, p) design.

    `weights` are 1/variance up to a common factor (points are then scaled by √w). `floor_sd` is the
    smallest residual sd that the instrument allows, in the unit of √w·y: points that agree better
    than they can do not make the next one an outlier.
    """
    ys = vector(y, "y")
    design = np.asarray(x, dtype=np.float64)
    if design.ndim == 1:
        design = design[:, None]
    if design.ndim != 2 or len(design) != len(ys) or design.shape[1] < 1:
        raise outside(N_("%(name)s: one value is needed for each reading."), name="x")
    if not float(np.abs(design).max()) <= LARGEST:
        raise outside(N_("%(name)s: every value must be a finite number of a usable size."), name="x")
    if weights is not None:
        root = np.sqrt(uncertainties(weights, "weights", ys))
        design, ys = design * root[:, None], ys * root
    n, p = design.shape
    # Columns in units of their own size: the fitted values do not depend on it.
    size = np.abs(design).max(axis=0)
    if n < p or float(size.min()) < 1e-60:
        raise outside(N_("There are too few different points for this fit."))
    basis, triangle = np.linalg.qr(design / size)
    if float(np.abs(np.diag(triangle)).min()) < 1e-12:
        raise outside(N_("There are too few different points for this fit."))
    leverage = np.minimum(1.0, np.square(basis).sum(axis=1))
    residuals = ys - basis @ (basis.T @ ys)
    sse = float(residuals @ residuals)
    free = 1.0 - leverage
    alone = free < 1e-10
    dof = n - p
    variance = sse / dof if dof else None
    safe = np.where(alone, 1.0, free)
    exact = 1e-26 * float(ys @ ys)
    cooks: list[float | None] = [None] * n
    studentized: list[float | None] = [None] * n
    least = floor_sd * floor_sd
    if variance is not None and max(sse, least) > exact:
        whole = max(variance, least)
        distance = np.square(residuals) * leverage / (p * whole * np.square(safe))
        cooks = [None if a else float(d) for a, d in zip(alone, distance, strict=True)]
    if dof > 1:
        # Sum of squares of the fit without the point, without fitting again.
        left = np.maximum(0.0, sse - np.square(residuals) / safe)
        others = np.maximum(left / (dof - 1), least)
        known = ~alone & (np.maximum(left, least) > exact)
        t = residuals / np.sqrt(np.where(known, others, 1.0) * safe)
        studentized = [float(v) if k else None for k, v in zip(known, t, strict=True)]
    return Influence(
        leverage=leverage,
        cooks_distance=tuple(cooks),
        studentized=tuple(studentized),
        n=n,
        p=p,
    )
