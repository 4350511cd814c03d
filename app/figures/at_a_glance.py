"""One class as a small multiple: its runs, its value with the interval, and the accepted value.

All that stand beside each other have one scale, percent from the accepted value, so that metals and years can
be compared.
"""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter

from app.figures.marks import largest_pile
from app.figures.numbers import plain, signed, with_plus
from app.figures.of_department import Glance
from app.figures.sheet import Sheet
from app.figures.view import View, draw_interval
from app.physics.rounding import whole

APART = 3.5
"""From the middle of one word of the scale to that of the next, in heights of their type (our own choice)."""


def draw(sheet: Sheet, one: Glance) -> Figure:
    """Beads over the scale, the class's interval as a band, the accepted value as a plumb line."""
    size, room = sheet.size, sheet.room
    view = View(*one.scale)
    beside = 2 * size.small
    axes = sheet.axes(left=beside, bottom=1.9 * size.small, right=beside, top=size.small / 2, upright=False)
    axes.set_xlim(*one.scale)
    axes.set_ylim(0, 1)
    axes.xaxis.set_major_locator(FixedLocator(_said(sheet, axes, one.scale)))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: _percent(sheet, value)))
    if one.interval is not None:
        draw_interval(sheet, axes, one.interval, view, edges_zorder=2)
    if one.value is not None:
        axes.axvline(
            view.clamped(one.value), color=room.value, linewidth=1.5 * size.line, zorder=3, gid="class-value"
        )
    axes.axvline(0, color=room.accepted, linewidth=1.5 * size.line, zorder=4, gid="accepted-line")
    _runs(sheet, axes, one, view)
    return sheet.figure


def _runs(sheet: Sheet, axes: Axes, one: Glance, view: View) -> None:
    """Each run a bead at its value, hollow where it was set aside, piled so that none hides another."""
    size, room = sheet.size, sheet.room
    runs = [(value, False) for value in one.counted] + [(value, True) for value in one.aside]
    places = view.in_points((value for value, _aside in runs), sheet.area(axes).width)
    widths = [share * size.mark for share in (0.5, 0.42, 0.34, 0.26, 0.2)]
    bead, moves = largest_pile(places, widths, 1.0, 1.5, sheet.area(axes).height)
    for (value, aside), up in zip(runs, moves, strict=True):
        sheet.dot(
            axes,
            (view.clamped(value), 0),
            (0, bead / 2 + size.line + up),
            marker=view.side(value, "<", ">", "o"),
            markersize=bead - size.line / 2,
            markerfacecolor=room.paper if aside else room.ink,
            markeredgecolor=room.ink if aside else room.paper,
            markeredgewidth=size.line / 2,
            zorder=5,
            gid="run-aside" if aside else "run",
        )


def _said(sheet: Sheet, axes: Axes, scale: tuple[int, int]) -> list[int]:
    """The accepted value and the ends of the scale, but for an end whose words would stand in the others."""
    low, high = scale
    width, room = sheet.area(axes).width, APART * sheet.size.small
    return [end for end in (low, 0, high) if end == 0 or abs(end) / (high - low) * width > room]


def _percent(sheet: Sheet, value: float) -> str:
    return with_plus(sheet.say(plain(signed(whole(value)))), value) + " %"
