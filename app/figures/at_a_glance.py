"""One class as a small multiple: its runs, its value with the interval, and the accepted value.

All that stand beside each other have one scale, percent from the accepted value, so that metals and years can
be compared.
"""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import FixedLocator, FuncFormatter
from matplotlib.transforms import ScaledTranslation

from app.figures.marks import pile
from app.figures.numbers import plain, signed
from app.figures.of_department import Glance
from app.figures.sheet import Sheet
from app.physics.rounding import whole

APART = 3.5
"""From the middle of one word of the scale to that of the next, in heights of their type (our own choice)."""


def draw(sheet: Sheet, one: Glance) -> Figure:
    """Beads over the scale, the class's interval as a band, the accepted value as a plumb line."""
    size, room = sheet.size, sheet.room
    low, high = one.scale
    beside = 2 * size.small
    axes = sheet.axes(left=beside, bottom=1.9 * size.small, right=beside, top=size.small / 2)
    axes.spines["left"].set_visible(False)
    axes.set_yticks([])
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1)
    axes.xaxis.set_major_locator(FixedLocator(_said(sheet, axes, one.scale)))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: _percent(sheet, value)))
    if one.interval is not None:
        ends = [_held(end, one.scale) for end in one.interval]
        axes.axvspan(*ends, facecolor=room.band, linewidth=0, zorder=1, gid="class-band")
        for end, held in zip(one.interval, ends, strict=True):
            if end == held:
                axes.axvline(end, color=room.value, linewidth=size.line / 2, zorder=2)
    if one.value is not None:
        at = _held(one.value, one.scale)
        axes.axvline(at, color=room.value, linewidth=1.5 * size.line, zorder=3, gid="class-value")
    axes.axvline(0, color=room.accepted, linewidth=1.5 * size.line, zorder=4, gid="accepted-line")
    _runs(sheet, axes, one)
    return sheet.figure


def _runs(sheet: Sheet, axes: Axes, one: Glance) -> None:
    """Each run a bead at its value, hollow where it was set aside, piled so that none hides another."""
    size, room = sheet.size, sheet.room
    box = axes.get_position()
    width, height = box.width * size.width, box.height * size.height
    low, high = one.scale
    runs = [(value, False) for value in one.counted] + [(value, True) for value in one.aside]
    places = [(_held(value, one.scale) - low) / (high - low) * width for value, _aside in runs]
    for share in (0.5, 0.42, 0.34, 0.26, 0.2):
        bead = share * size.mark
        moves = pile(places, bead)
        if max(moves, default=0.0) + 1.5 * bead <= height:
            break
    for (value, aside), up in zip(runs, moves, strict=True):
        held = _held(value, one.scale)
        lift = ScaledTranslation(0, (bead / 2 + size.line + up) / 72, sheet.figure.dpi_scale_trans)
        axes.add_artist(
            Line2D(
                [held],
                [0],
                marker="o" if held == value else ">" if value > held else "<",
                markersize=bead - size.line / 2,
                markerfacecolor=room.paper if aside else room.ink,
                markeredgecolor=room.ink if aside else room.paper,
                markeredgewidth=size.line / 2,
                clip_on=False,
                zorder=5,
                gid="run-aside" if aside else "run",
                transform=axes.transData + lift,
            )
        )


def _said(sheet: Sheet, axes: Axes, scale: tuple[int, int]) -> list[int]:
    """The accepted value and the ends of the scale, but for an end whose words would stand in the others."""
    low, high = scale
    width = axes.get_position().width * sheet.size.width
    room = APART * sheet.size.small
    return [end for end in (low, 0, high) if end == 0 or abs(end) / (high - low) * width > room]


def _held(value: float, scale: tuple[int, int]) -> float:
    return min(max(value, scale[0]), scale[1])


def _percent(sheet: Sheet, value: float) -> str:
    return ("+" if value > 0 else "") + sheet.say(plain(signed(whole(value)))) + " %"
