"""The straight-line view: warming against fall energy, run by run.

Through the origin w = s·e with errors in both variables, with an offset, and robust.
"""

from __future__ import annotations

from itertools import compress

import numpy as np

from app.analysis.columns import Columns
from app.analysis.readings import RunReadings
from app.analysis.results import LineFit, LinePoint
from app.statistics.domain import Floats, OutsideDomain
from app.statistics.influence import influence
from app.statistics.lines import LineWithOffset, line_through_origin, line_with_offset
from app.statistics.robust import huber_line

_LEAST_WARMING_K = 1e-9
"""A line that stays below this for the largest energy is none (our own choice)."""
_LEAST_ENERGY_SPREAD = 0.01
"""Energies alike to 1 % show no offset (our own choice)."""


def line_fit(cols: Columns) -> LineFit | None:
    """The fit over the counted runs; None where there is none or the class does not warm.

    The slope minimizes Σ(w − s e)²/(u(w)² + s² u(e)²); of the fall energy only the fall's u(h)/h is the run's
    own. Its standard uncertainty is widened by √(χ²/(n − 1)) where the runs scatter more than their
    uncertainties say. The offset's line, leverage, Cook's distance and externally studentized residuals are
    those of weighted least squares, with the weights at the slope found.
    """
    runs = tuple(compress(cols.runs, cols.counted.tolist()))
    try:
        return _fit(cols, runs) if runs else None
    except OutsideDomain:
        return None


def _fit(cols: Columns, runs: tuple[RunReadings, ...]) -> LineFit | None:
    e, w = cols.taken.energy, cols.taken.warming
    u_e, u_w = cols.u_fall / cols.taken.fall * e, cols.taken.u_warming
    line = line_through_origin(e, w, u_e, u_w)
    if not line.slope * float(e.max()) > _LEAST_WARMING_K:
        return None
    weights = 1.0 / (np.square(u_w) + np.square(line.slope * u_e))
    points = influence(e, w, weights)
    inclined = _with_offset(e, w, weights)
    return LineFit(
        slope_K_kg_per_J=line.slope,
        u_slope_K_kg_per_J=None if line.birge is None else line.u_slope * max(1.0, line.birge),
        apparent_heat_capacity_J_per_kg_K=1.0 / line.slope,
        offset_K=inclined.intercept if inclined else None,
        u_offset_K=inclined.u_intercept if inclined else None,
        slope_with_offset_K_kg_per_J=inclined.slope if inclined else None,
        robust_slope_K_kg_per_J=huber_line(e, w).slope,
        points=tuple(
            LinePoint(
                bench=run.bench,
                run=run.run,
                specific_energy_J_per_kg=float(e[i]),
                warming_K=float(w[i]),
                u_warming_K=float(u_w[i]),
                residual_K=float(line.residuals[i]),
                leverage=float(points.leverage[i]),
                cooks_distance=points.cooks_distance[i],
                studentized_residual=points.studentized[i],
            )
            for i, run in enumerate(runs)
        ),
    )


def _with_offset(e: Floats, w: Floats, weights: Floats) -> LineWithOffset | None:
    """The line w = a + s e; None for fewer than three runs, or where the energies are all alike."""
    mean = float(np.average(e, weights=weights))
    spread = float(np.average(np.square(e - mean), weights=weights)) ** 0.5
    # An offset and a slope leave one degree of freedom: our own choice.
    if len(e) < 3 or spread <= _LEAST_ENERGY_SPREAD * mean:
        return None
    return line_with_offset(e, w, weights, least_sd=1.0)
