"""Results of many practicals together: pooled, and held against limits in the order of time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.analysis.figure import FEWEST, Chart, Figure, Pooled
from app.analysis.results import Interval
from app.physics.coverage import COVERAGE_95
from app.statistics.control_limits import control_limits, runs_on_one_side
from app.statistics.random_effects import paule_mandel


def u_of(figure: Figure) -> float | None:
    """Its standard uncertainty, read from the interval as if it were normal; None without one."""
    if figure.interval is None or not figure.interval[0] < figure.interval[1]:
        return None
    return (figure.interval[1] - figure.interval[0]) / (2 * COVERAGE_95)


def pooled(classes: Sequence[Figure]) -> Pooled | None:
    """Those that have an interval, pooled; None where they are fewer than `FEWEST`."""
    sure = [(one.value, u_of(one)) for one in classes if u_of(one) is not None]
    if len(sure) < FEWEST:
        return None
    y, u = np.array(sure, dtype=float).T
    found = paule_mandel(y, np.square(u))
    half = found.half_width_95
    return Pooled(found.mean, (found.mean - half, found.mean + half), float(found.tau2**0.5), len(sure))


def chart_of(classes: Sequence[Figure]) -> Chart:
    """The chart of classes in the order of time."""
    together = pooled(classes)
    places = [place for place, one in enumerate(classes) if u_of(one) is not None]
    limits: list[Interval | None] = [None] * len(classes)
    if together is None:
        return Chart(tuple(classes), None, tuple(limits), ())
    y = np.array([classes[place].value for place in places])
    u = np.array([u_of(classes[place]) or 0.0 for place in places])
    for place, half in zip(places, control_limits(y, u).half_widths.tolist(), strict=True):
        limits[place] = (together.value - half, together.value + half)
    shifts = [(places[first], places[last]) for first, last in runs_on_one_side(y, together.value)]
    return Chart(tuple(classes), together, tuple(limits), tuple(shifts))
