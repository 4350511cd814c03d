"""Which part of a scale to show, so that one wild figure does not squash the rest against the edge."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from matplotlib.axes import Axes

from app.analysis.results import Interval
from app.figures.sheet import Sheet
from app.statistics.robust import MAD_TO_SD


@dataclass(frozen=True)
class View:
    """The shown part of a scale, from low to high."""

    low: float
    high: float

    def shows(self, value: float) -> bool:
        """True when the value lies on the shown part."""
        return self.low <= value <= self.high

    def clamped(self, value: float) -> float:
        """The value, or the edge it lies beyond."""
        return min(max(value, self.low), self.high)

    def side(self, value: float, below: str, above: str, within: str = "") -> str:
        """One of three signs, by where the value lies."""
        return below if value < self.low else above if value > self.high else within

    def in_points(self, values: Iterable[float], width: float) -> list[float]:
        """Where values, or the edges they lie beyond, stand on axes so wide; in points from the left."""
        return [(self.clamped(value) - self.low) / (self.high - self.low) * width for value in values]


def view_of(values: Sequence[float], must_show: Iterable[float] = (), may_show: Iterable[float] = ()) -> View:
    """The view that shows the body of the values and all of `must_show`.

    A value is of the body within six scaled median absolute deviations of the median, or a third of the
    median where that is wider (identical readings have no deviation at all). `may_show` figures (the ends
    of an interval) widen the view by at most the body's own width on either side.
    """
    needed = list(must_show)
    if not values:
        low, high = (min(needed), max(needed)) if needed else (0.0, 1.0)
    else:
        centre = median(values)
        reach = max(6 * median(abs(v - centre) for v in values) / MAD_TO_SD, abs(centre) / 3)
        body = [v for v in values if abs(v - centre) <= reach] or [centre]
        low, high = min(body + needed), max(body + needed)
    width = (high - low) or max(abs(high) / 5, 1e-9)
    for value in may_show:
        low, high = min(low, max(value, low - width)), max(high, min(value, high + width))
    pad = 0.06 * (high - low) if high > low else width / 2
    return View(low - pad, high + pad)


def draw_interval(sheet: Sheet, axes: Axes, interval: Interval, view: View, edges_zorder: float) -> None:
    """An interval as an upright band, with an edge at each end that the view shows."""
    held = [view.clamped(end) for end in interval]
    axes.axvspan(*held, facecolor=sheet.room.band, linewidth=0, zorder=1, gid="class-band")
    for end in interval:
        if view.shows(end):
            axes.axvline(end, color=sheet.room.value, linewidth=sheet.size.line / 2, zorder=edges_zorder)
