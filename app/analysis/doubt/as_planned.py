"""Readings that are far from the class's own because the teacher planned them so.

The narrowest class result needs a few benches with far less shot than the others. What the plan gave a
bench is no reason to look at it again, however far from the rest of the class it is.
"""

from __future__ import annotations

from math import log

import numpy as np

from app.analysis.columns import Columns, Flags, Floats

NEAR_THE_PLAN = log(1.5)
"""A reading within a factor 1.5 of its bench's plan is as planned (our own choice: no known slip is less)."""


def as_planned(cols: Columns, rows: Floats) -> Flags:
    """Which mass, length and count (the first three of `rows`, in SI units) are what the plan asked for."""
    given: Flags = np.zeros(rows.shape, dtype=np.bool_)
    for i, run in enumerate(cols.runs):
        plan = (run.planned_shot_mass_kg, run.planned_tube_length_m, run.planned_inversions)
        for row, wanted in enumerate(plan):
            reading = float(rows[row, i])
            if wanted is not None and wanted > 0.0 and reading > 0.0:
                given[row, i] = abs(log(reading / wanted)) <= NEAR_THE_PLAN
    return given
