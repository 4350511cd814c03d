"""A metal over the years: each class's value in the order of time, between the limits that it should keep."""

from __future__ import annotations

from itertools import groupby

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Drawn
from matplotlib.ticker import NullLocator

from app.analysis.figure import Chart
from app.figures.of_department import OverYears
from app.figures.sheet import Sheet
from app.figures.view import View, view_of
from app.words import N_, Message

NONE = Message(N_("No finished practical of this metal has this value."))


def draw(sheet: Sheet, shown: OverYears) -> Drawn:
    """Beads with their intervals, the pooled value as a band, the limits as broken lines."""
    chart, size = shown.chart, sheet.size
    places = list(shown.places)
    if not places:
        return sheet.only_words(NONE)
    view = _view(shown, places)
    axes = sheet.axes(
        left=4.2 * size.small,
        bottom=2.2 * size.small,
        right=1.5 * size.small,
        top=2.4 * size.text + sheet.more_lines(shown.label),
    )
    axes.set_xlim(places[0] - 0.6, places[-1] + 0.6)
    axes.set_ylim(view.low, view.high)
    axes.xaxis.set_major_locator(NullLocator())
    sheet.scale(axes.yaxis, shown.label)
    _years(sheet, axes, shown, places)
    _pooled(sheet, axes, chart)
    _limits(sheet, axes, chart, places)
    _accepted(sheet, axes, shown, places)
    _classes(sheet, axes, chart, places, view)
    return sheet.figure


def _view(shown: OverYears, places: list[int]) -> View:
    chart = shown.chart
    limits = [end for place in places for end in chart.limits[place] or ()]
    intervals = [end for place in places for end in chart.classes[place].interval or ()]
    pooled = chart.pooled.interval if chart.pooled else ()
    values = [chart.classes[place].value for place in places]
    return view_of(values, [*limits, *pooled, shown.accepted[-1]], intervals)


def _years(sheet: Sheet, axes: Axes, shown: OverYears, places: list[int]) -> None:
    """A rule where a school year begins, and its name where there is room."""
    size, area = sheet.size, sheet.area(axes)
    step = area.width / (places[-1] - places[0] + 1.2)
    free = 0.0
    for year, group in groupby(places, key=lambda place: shown.years[place]):
        own = list(group)
        if own[0] != places[0]:
            axes.axvline(own[0] - 0.5, color=sheet.room.rule, linewidth=size.line / 2, zorder=0)
        left = area.left + (own[0] - places[0] + 0.6) * step
        words = Message("%(words)s", {"words": year})
        width = sheet.width_of(words, size.small)
        x = min(left, size.width - width - size.small / 3)
        if x >= free and (left >= free):
            sheet.write(x, 1.2 * size.small, words, ha="left", fontsize=size.small)
            free = x + width + size.small


def _pooled(sheet: Sheet, axes: Axes, chart: Chart) -> None:
    if chart.pooled is None:
        return
    size, room, (low, high) = sheet.size, sheet.room, chart.pooled.interval
    axes.axhspan(low, high, facecolor=room.band, linewidth=0, zorder=1, gid="pooled-band")
    for end in (low, high):
        axes.axhline(end, color=room.value, linewidth=size.line / 2, zorder=1.1)
    axes.axhline(chart.pooled.value, color=room.value, linewidth=size.line, zorder=1.2, gid="pooled-value")


def _limits(sheet: Sheet, axes: Axes, chart: Chart, places: list[int]) -> None:
    """Steps, since each class has limits of its own."""
    for side in (0, 1):
        for place in places:
            limits = chart.limits[place]
            if limits is not None:
                axes.plot(
                    [place - 0.45, place + 0.45],
                    [limits[side]] * 2,
                    color=sheet.room.soft,
                    linewidth=1.2 * sheet.size.line,
                    zorder=2,
                    gid=f"limit-{side}-{place}",
                )


def _accepted(sheet: Sheet, axes: Axes, shown: OverYears, places: list[int]) -> None:
    for value, group in groupby(places, key=lambda place: shown.accepted[place]):
        own = list(group)
        axes.plot(
            [own[0] - 0.5, own[-1] + 0.5],
            [value] * 2,
            color=sheet.room.accepted,
            linewidth=1.5 * sheet.size.line,
            zorder=3,
            gid="accepted-line",
        )


def _classes(sheet: Sheet, axes: Axes, chart: Chart, places: list[int], view: View) -> None:
    """A bead each, ringed where it is outside, hollow where it has no interval, a wedge beyond the scale."""
    size, room = sheet.size, sheet.room
    bead = max(0.25 * size.mark, 0.7 * sheet.area(axes).width / len(places))
    bead = min(0.6 * size.mark, bead)
    for place in places:
        one, outside = chart.classes[place], chart.is_outside(place)
        if one.interval is not None:
            held = [view.clamped(end) for end in one.interval]
            axes.plot([place] * 2, held, color=room.ink, linewidth=size.line / 2, zorder=4)
        at = view.clamped(one.value)
        axes.plot(
            [place],
            [at],
            marker=view.side(one.value, "v", "^", "o"),
            markersize=bead,
            markerfacecolor=room.paper if one.interval is None else room.ink,
            markeredgecolor=room.ink if one.interval is None else room.paper,
            markeredgewidth=size.line / 2,
            zorder=5,
            gid=f"class-{place}",
        )
        if outside:
            axes.plot(
                [place],
                [at],
                marker="o",
                markersize=bead + 4 * size.line,
                markerfacecolor="none",
                markeredgecolor=room.flag,
                markeredgewidth=1.5 * size.line,
                clip_on=False,
                zorder=5.5,
                gid=f"outside-{place}",
            )
