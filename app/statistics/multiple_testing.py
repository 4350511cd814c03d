"""P-values of several tests at once, adjusted for their number."""

from __future__ import annotations

import numpy as np

from app.statistics.domain import Floats


def holm(p_values: Floats) -> Floats:
    """Adjusted p-values: where those below α are told, the chance of telling even one wrongly is at most α.

    S. Holm, "A simple sequentially rejective multiple test procedure", Scand. J. Stat. 6 (1979) 65 (from
    memory). The smallest of n is taken n times, the next n − 1 times, and so on; none falls below the one
    before it, and none is above 1.
    """
    order = np.argsort(p_values, kind="stable")
    times = np.arange(len(p_values), 0, -1)
    stepped = np.minimum(np.maximum.accumulate(p_values[order] * times), 1.0)
    adjusted = np.empty_like(stepped)
    adjusted[order] = stepped
    return adjusted
