"""Which part of a scale to show, so that one wild figure does not squash the rest against the edge.

Runs that have no place on the shown part, the wild ones and those without a value, stand in lanes beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from matplotlib.axes import Axes

from app.analysis.results import Interval, RunResult
from app.figures.marks import draw_mark, mark_of
from app.figures.numbers import plain, signed
from app.figures.sheet import Sheet
from app.physics.rounding import round_significant, short
from app.statistics.robust import MAD_TO_SD
from app.words import N_, Message

OFF_SCALE = Message(N_("off the scale"))
NO_VALUE = Message(N_("no value"))
MORE = Message(N_("and %(more)s more"))
RIGHT, LEFT = "→", "←"


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


def lane_width(sheet: Sheet, runs: Sequence[RunResult], words: Callable[[RunResult], str]) -> float:
    """The room a lane needs, in points; 0 where it is empty, or the sheet too small for lanes."""
    if not runs or sheet.size.beads:
        return 0.0
    small = sheet.size.small
    titles = max(sheet.width_of(title, small) for title in (OFF_SCALE, NO_VALUE))
    texts = max(sheet.width_of(plain(line), small) for run in runs for line in words(run).splitlines())
    return max(1.9 * sheet.size.mark + texts, titles + sheet.size.mark / 2)


def draw_lane(
    sheet: Sheet,
    axes: Axes,
    runs: Sequence[RunResult],
    left: float,
    width: float,
    title: Message,
    words: Callable[[RunResult], str],
    rule_right: bool = False,
) -> None:
    """A ruled-off lane of marks, each with its figures in words (and an arrow to where it lies)."""
    if not runs or not width:
        return
    size, area = sheet.size, sheet.area(axes)
    bottom, top = area.bottom, area.top
    edge = left + width if rule_right else left
    sheet.rule((edge, edge), (bottom, top), linestyle=(0, (4, 3)))
    sheet.write(
        left + width / 2,
        top - 0.6 * size.small,
        title,
        fontsize=size.small,
        color=sheet.room.soft,
        ha="center",
    )
    room_for = max(1, int((top - bottom - 1.2 * size.mark) / (1.15 * size.mark)))
    listed = runs if len(runs) <= room_for else runs[: room_for - 1]
    lines = max((len(words(run).splitlines()) for run in listed), default=1)
    step = min(max(1.6, 1.3 * lines) * size.mark, (top - bottom - 1.2 * size.mark) / max(1, len(listed)))
    first = top - 1.3 * size.small - max(0.75 * size.mark, 0.6 * size.small * lines)
    for row, run in enumerate(listed):
        y = first - row * step
        draw_mark(sheet, None, mark_of(run, left + 0.9 * size.mark, y))
        sheet.figure.text(
            left + 1.75 * size.mark,
            y,
            words(run),
            transform=sheet.points,
            fontsize=size.small,
            va="center",
            color=sheet.room.ink,
            gid=f"edge-{run.readings.bench}-{run.readings.run}",
            linespacing=1.05,
        )
    if len(listed) < len(runs):
        more = Message(MORE.template, {"more": str(len(runs) - len(listed))})
        y = first - len(listed) * step
        sheet.write(left + width / 2, y, more, fontsize=size.small, color=sheet.room.soft, ha="center")


def value_words(sheet: Sheet, arrow: str = "") -> Callable[[RunResult], str]:
    """A run's apparent specific heat capacity, or its warming where it has none."""

    def words(run: RunResult) -> str:
        value = run.apparent_heat_capacity_J_per_kg_K
        if value is None:
            return sheet.say(plain(short(run.warming_K))) + " K"
        return f"{sheet.say(plain(signed(round_significant(value))))} {arrow}".strip()

    return words
