"""The drawing beside a decision: where one run lies among the class. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import quantiles

from app.analysis.results import ClassValue
from app.web.desk.lesson.view import RunRow

WIDTH, EDGE = 600.0, 26.0


@dataclass(frozen=True)
class Strip:
    """The drawing beside a decision: every run's value on one line, this run on it, the class's band.

    Positions are in the drawing's own units; `beyond` is −1 or 1 where this run lies off the strip.
    """

    this: float | None
    beyond: int
    others: tuple[float, ...]
    band: tuple[float, float] | None
    low: float
    high: float


def strip_of(rows: Sequence[RunRow], this: RunRow, value: ClassValue | None) -> Strip | None:
    """The strip for one run; None where fewer than three runs have a value."""
    figures = sorted(c for row in rows if (c := apparent(row)) is not None)
    if len(figures) < 3:
        return None
    first, _, third = quantiles(figures, n=4)
    reach = max(2.5 * (third - first), 0.15 * abs(third), 1e-9)
    low, high = max(figures[0], first - reach), min(figures[-1], third + reach)
    if value is not None and value.interval_95 is not None:
        low, high = min(low, value.interval_95[0]), max(high, value.interval_95[1])
    if not high > low:
        low, high = low * 0.95, high * 1.05

    def place(figure: float) -> float:
        inside = min(max((figure - low) / (high - low), 0.0), 1.0)
        return round(EDGE + inside * (WIDTH - 2 * EDGE), 1)

    own = apparent(this)
    interval = value.interval_95 if value else None
    return Strip(
        this=None if own is None else place(own),
        beyond=0 if own is None or low <= own <= high else (1 if own > high else -1),
        others=tuple(place(c) for row in rows if row is not this and (c := apparent(row)) is not None),
        band=(place(interval[0]), place(interval[1])) if interval else None,
        low=low,
        high=high,
    )


def apparent(row: RunRow) -> float | None:
    """A run's apparent specific heat capacity."""
    return row.worked.apparent_heat_capacity_J_per_kg_K if row.worked else None
