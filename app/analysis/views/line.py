"""The straight-line view: warming against fall energy, run by run.

Through the origin w = s·e with errors in both variables (`app.statistics.through_origin` gives the same
slope for any uncertainties; here only the fall's u(h)/h enters u(e)), with an offset, and robust.
"""

from __future__ import annotations

from itertools import compress, repeat
from math import sqrt

import numpy as np

from app.analysis.columns import Columns
from app.analysis.results import ClassSettings, LineFit, LinePoint
from app.statistics.outliers import median


def line_fit(cols: Columns, settings: ClassSettings) -> LineFit | None:
    """The fit over the counted runs; None where there is none or the class does not warm.

    The slope minimizes Σ(w − s e)²/(u(w)² + s² u(e)²). Its standard uncertainty is unscaled, or
    widened by √(χ²/(n − 1)) where the runs scatter more than their uncertainties say. Leverage, Cook's
    distance and externally studentized residuals are the weighted least-squares formulas with s held in
    the weights, about the slope found (p = 1 parameter; n − 2 degrees of freedom for the latter).
    """
    taken = cols.taken
    e, w = taken.energy, taken.warming
    n = len(e)
    if n == 0:
        return None
    v_w, v_e = cols.u_warming**2, np.square(cols.u_fall / taken.fall * e)
    slope = float(e.dot(w)) / float(e.dot(e))
    weight = 1.0 / (v_w + slope * slope * v_e)
    before = 0.0
    for _ in range(50):
        weighted = weight * (e + slope * v_e * weight * (w - slope * e))
        after = float(weighted.dot(w)) / float(weighted.dot(e))
        change, slope = after - slope, after
        weight = 1.0 / (v_w + slope * slope * v_e)
        # Steps shrink by a steady ratio, so that change²/before is the next one.
        if change * change <= 1e-9 * abs(slope * before):
            break
        before = change
    weighted = weight * e
    see = float(weighted.dot(e))
    energies = e.tolist()
    if not slope * max(energies) > 1e-9:
        return None
    residual = w - slope * e
    squared = residual * residual
    scaled2, chi2 = weight * squared, float(weight.dot(squared))
    u_slope = None if n < 2 else sqrt(max(1.0, chi2 / (n - 1)) / see)
    leverage = weighted * e / see
    left = np.maximum(1.0 - leverage, 1e-12)
    cook: list[float | None] = [None] * n
    student: list[float | None] = [None] * n
    if n > 2 and chi2 > 1e-12:
        cook = (scaled2 * leverage / (left * left) / (chi2 / (n - 1))).tolist()
        without = np.maximum(chi2 - scaled2 / left, 1e-12 * chi2) / (n - 2)
        student = (np.sqrt(weight) * residual / np.sqrt(without * left)).tolist()
    offset, u_offset, inclined = _with_offset(e, w, weight)
    runs = cols.runs if taken.all_of_them else tuple(compress(cols.runs, cols.counted.tolist()))
    return LineFit(
        slope_K_kg_per_J=slope,
        u_slope_K_kg_per_J=u_slope,
        apparent_heat_capacity_J_per_kg_K=1.0 / slope,
        offset_K=offset,
        u_offset_K=u_offset,
        slope_with_offset_K_kg_per_J=inclined,
        robust_slope_K_kg_per_J=_huber(e, w),
        points=tuple(
            LinePoint(run.bench, run.run, *figures)
            for run, *figures in zip(
                runs,
                energies,
                w.tolist(),
                repeat(cols.u_warming),
                residual.tolist(),
                leverage.tolist(),
                cook,
                student,
                strict=False,
            )
        ),
    )


def _with_offset(
    e: np.ndarray, w: np.ndarray, weight: np.ndarray
) -> tuple[float | None, float | None, float | None]:
    """Offset, its standard uncertainty and slope of w = a + s e; None where the energies are all alike."""
    n = len(e)
    total = float(weight.sum())
    e_mean, w_mean = float(weight.dot(e)) / total, float(weight.dot(w)) / total
    de = e - e_mean
    sxx = float(weight.dot(de * de))
    # An offset and a slope leave one degree of freedom; energies alike to 1 %: our own choice.
    if n < 3 or sxx <= 1e-4 * total * e_mean * e_mean:
        return None, None, None
    slope = float(weight.dot(de * w)) / sxx
    residual = w - w_mean - slope * de
    chi2 = float(weight.dot(residual * residual))
    scale = max(1.0, chi2 / (n - 2))
    return w_mean - slope * e_mean, sqrt(scale * (1.0 / total + e_mean * e_mean / sxx)), slope


def _huber(e: np.ndarray, w: np.ndarray) -> float | None:
    """Slope through the origin by Huber's M-estimate (k = 1.345), scale median|r|/0.6745."""
    slope = median(w / e)
    half, odd = len(e) // 2, len(e) % 2
    last: tuple[float, float] | None = None
    for _ in range(100):
        residual = np.abs(w - slope * e)
        ordered = residual.copy()
        ordered.sort()
        middle = float(ordered[half]) if odd else 0.5 * float(ordered[half - 1] + ordered[half])
        if middle <= 1e-12:
            return slope
        # The usual weights min(1, limit/|r|), divided by the limit: only their ratios matter. (Newton's step
        # for Σ e ψ(r) = 0 is shorter, but diverges where the runs lie far from the first slope.)
        weighted = e / np.maximum(residual, 1.345 / 0.6745 * middle)
        after = float(weighted.dot(w)) / float(weighted.dot(e))
        change = after - slope
        if abs(change) <= 1e-7 * abs(after):
            return after
        step = change
        if last is not None and slope != last[0]:
            # The change is nearly a straight line in the slope: go to its zero at once.
            ratio = (change - last[1]) / (slope - last[0])
            if -1.8 < ratio < -0.2:  # a step that swings back is shortened: our own choice
                step = -change / ratio
        last = slope, change
        slope += step
        # Far below any digit shown: our own choice.
        if step is not change and abs(change) <= 1e-5 * abs(after):
            return slope
    return slope
