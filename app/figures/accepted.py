"""Percent error: the class's interval against the accepted value, with the benches' values beneath."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from app.analysis.fit.accepted import alloy_range
from app.analysis.results import ClassResult, ClassValue
from app.figures.beads import BEAD
from app.figures.benches import counted, runs_by_bench, value_of_bench
from app.figures.findings import NO_RUNS
from app.figures.marks import largest_pile
from app.figures.numbers import ends, from_to, percent, plain, signed, with_interval, with_plus
from app.figures.sheet import Sheet
from app.figures.spread import AXIS
from app.figures.view import View, view_of
from app.physics.rounding import round_significant, short
from app.words import N_, Message

ERROR_AXIS = Message(N_("percent error"))
ACCEPTED = Message(N_("accepted %(value)s"))
ERROR = Message(N_("%(error)s %%"))
ERROR_WITHIN = Message(N_("%(low)s %% to %(high)s %%"))
BAND = (0.58, 0.84)
"""Where the class's interval stands, as shares of the axes' height."""
BEADS = 0.42
"""How high the beads may reach; the words of the accepted value stand between the two, on a low sheet beside
the band where they have room."""
_LIFTS = {"bottom": 0.1, "center": 0.0, "top": -0.1}


def draw(sheet: Sheet, result: ClassResult) -> Figure:
    """The percent error large; beneath it one scale, labelled twice: percent error above, specific heat
    capacity below.

    The accepted value is a plumb line (an alloy's a band), the class's interval a band, a bench a bead.
    """
    pooled = result.class_value
    if pooled is None:
        return sheet.only_words(result.class_value_absent_because or NO_RUNS)
    size, accepted = sheet.size, result.settings.accepted_J_per_kg_K
    value, interval = pooled.apparent_heat_capacity_J_per_kg_K, pooled.interval_95 or ()
    alloy = alloy_range(result.settings) or ()
    whole = not interval or interval[1] - interval[0] <= 4 * abs(value)
    summaries = {summary.bench: summary for summary in result.benches}
    values = {
        name: value_of_bench(counted(runs), summaries.get(name))
        for name, runs in runs_by_bench(result.runs).items()
    }
    benches = {name: value for name, value in values.items() if value is not None}
    view = view_of(
        [value, accepted, *benches.values()],
        must_show=[accepted, value, *alloy, *(interval if whole else ())],
        may_show=interval,
    )
    span = view.high - view.low
    view = View(view.low - 0.04 * span, view.high + 0.04 * span)
    beside = max(size.mark, _half_an_error(sheet, accepted, view))
    axes = sheet.axes(
        left=beside,
        bottom=3.2 * size.text + sheet.more_lines(AXIS),
        right=beside,
        top=6.2 * size.text,
        upright=False,
    )
    axes.set_xlim(view.low, view.high)
    axes.set_ylim(0, 1)
    sheet.scale(axes.xaxis, AXIS)
    _percent_axis(sheet, axes, accepted, view)
    _large_error(sheet, pooled)
    _class_interval(sheet, axes, pooled, view)
    _benches(sheet, axes, benches, view)
    _accepted(sheet, axes, pooled, alloy, view)
    return sheet.figure


def accepted_words(value: float) -> Message:
    """What the line of the accepted value is called."""
    return Message(ACCEPTED.template, {"value": signed(short(value, 6))})


def _large_error(sheet: Sheet, pooled: ClassValue) -> None:
    """The error, and its interval beside it where there is one, together in the middle."""
    size, between = sheet.size, pooled.percent_error_interval
    y, ink = size.height - 1.5 * size.text, sheet.room.value
    words = Message(ERROR.template, {"error": with_plus(percent(pooled.percent_error), pooled.percent_error)})
    large, gap = 2.2 * size.text, 0.8 * size.text
    width = sheet.width_of(words, large, weight="bold")
    if between is None:
        x = (size.width - width) / 2
    else:
        low, high = (with_plus(text, end) for text, end in zip(ends(between), between, strict=True))
        within = Message(ERROR_WITHIN.template, {"low": low, "high": high})
        x = max(size.small / 2, (size.width - width - gap - sheet.width_of(within, size.text)) / 2)
        text = sheet.write(x + width + gap, y, within, gid="percent-error-interval", color=ink, ha="left")
        sheet.fit(text, size.width - x - width - gap - size.small / 2)
    sheet.write(x, y, words, fontsize=large, fontweight="bold", gid="percent-error", color=ink, ha="left")


def _percent_axis(sheet: Sheet, axes: Axes, accepted: float, view: View) -> None:
    def to_error(capacity: Any) -> Any:
        return (capacity / accepted - 1) * 100

    def to_capacity(error: Any) -> Any:
        return accepted * (1 + error / 100)

    above = axes.secondary_xaxis("top", functions=(to_error, to_capacity))
    above.set_xlabel(
        sheet.say(ERROR_AXIS), fontsize=sheet.size.text, color=sheet.room.ink, labelpad=sheet.size.small / 2
    )
    above.tick_params(colors=sheet.room.ink, labelsize=sheet.size.small, length=sheet.size.small / 3)
    above.spines["top"].set_color(sheet.room.soft)
    above.xaxis.set_major_locator(_error_ticks())
    above.xaxis.set_major_formatter(FuncFormatter(lambda value, _: _error_text(sheet, value)))


def _error_ticks() -> MaxNLocator:
    return MaxNLocator(nbins=5, steps=[1, 2, 2.5, 5, 10])


def _error_text(sheet: Sheet, value: float) -> str:
    return with_plus(sheet.say(plain(short(value, 10))), value - 1e-9) + " %"


def _half_an_error(sheet: Sheet, accepted: float, view: View) -> float:
    """How far an error written at the very end of the scale reaches beyond it."""
    low, high = ((end / accepted - 1) * 100 for end in (view.low, view.high))
    texts = [_error_text(sheet, value) for value in _error_ticks().tick_values(low, high)]
    return 0.55 * max(sheet.width_of(plain(text), sheet.size.small) for text in texts)


def _class_interval(sheet: Sheet, axes: Axes, pooled: ClassValue, view: View) -> None:
    value, size = pooled.apparent_heat_capacity_J_per_kg_K, sheet.size
    foot, head = band = _band(sheet, axes)
    if pooled.interval_95 is not None:
        low, high = (view.clamped(end) for end in pooled.interval_95)
        axes.fill_between(
            [low, high], foot, head, color=sheet.room.band, linewidth=0, zorder=2, gid="class-band"
        )
        for end, held in zip(pooled.interval_95, (low, high), strict=True):
            if end == held:
                axes.plot([end, end], band, color=sheet.room.value, linewidth=size.line, zorder=3)
            else:
                _runs_off(sheet, axes, end, held, (foot + head) / 2)
    axes.plot(
        [value, value],
        band,
        color=sheet.room.value,
        linewidth=2 * size.line,
        zorder=3,
        gid="class-value",
    )
    words = Message(N_("class value %(value)s"), {"value": with_interval(value, pooled.interval_95)})
    _label(sheet, axes, words, value, head, sheet.room.value, value >= pooled.accepted_J_per_kg_K)


def _band(sheet: Sheet, axes: Axes) -> tuple[float, float]:
    """The band's foot and head, with room above it for the class value's words."""
    foot, head = BAND
    return foot, min(head, 1 - 0.9 * sheet.size.text / sheet.area(axes).height)


def _runs_off(sheet: Sheet, axes: Axes, end: float, held: float, y: float) -> None:
    """Where the interval goes on beyond the figure: an arrow and its end in words."""
    right = end > held
    number = sheet.say(plain(signed(round_significant(end, 2))))
    sheet.annotate(
        axes,
        f"{number} →" if right else f"← {number}",
        (held, y),
        ((-0.3 if right else 0.3) * sheet.size.text, 0),
        ha="right" if right else "left",
        va="center",
        fontsize=sheet.size.small,
        color=sheet.room.value,
        zorder=6,
    )


def _benches(sheet: Sheet, axes: Axes, values: dict[str, float], view: View) -> None:
    """A bead for each bench, piled upwards from the scale; smaller ones where they are many.

    A value off the scale is a wedge at its end.
    """
    size, places = sheet.size, view.in_points(values.values(), sheet.area(axes).width)
    widths = [share * size.mark for share in (BEAD, 0.38, 0.32, 0.26)]
    bead, moves = largest_pile(places, widths, 1.04, 1.5, BEADS * sheet.area(axes).height)
    for (name, value), up in zip(values.items(), moves, strict=True):
        sheet.dot(
            axes,
            (view.clamped(value), 0),
            (0, bead / 2 + 2 * size.line + up),
            marker=view.side(value, "<", ">", "o"),
            markersize=bead,
            markerfacecolor=sheet.room.soft if size.beads else sheet.room.ink,
            markeredgecolor=sheet.room.paper,
            markeredgewidth=0.4 * size.line,
            zorder=5,
            gid=f"bench-bead-{name}",
        )


def _accepted(sheet: Sheet, axes: Axes, pooled: ClassValue, alloy: tuple[float, ...], view: View) -> None:
    """The accepted value as a line, an alloy's range as a band, with its words beside it."""
    size, ink, accepted = sheet.size, sheet.room.accepted, pooled.accepted_J_per_kg_K
    words = accepted_words(accepted)
    left = accepted < (view.low + view.high) / 2
    if alloy:
        axes.fill_between(
            alloy,
            0,
            1,
            facecolor="none",
            edgecolor=ink,
            hatch="//",
            linewidth=size.line,
            zorder=1,
            gid="alloy-band",
        )
        words = Message(ACCEPTED.template, {"value": sheet.say(from_to((alloy[0], alloy[1])))})
        accepted = alloy[1] if left else alloy[0]
    else:
        axes.plot([accepted] * 2, [0, 1.0], color=ink, linewidth=2 * size.line, zorder=4, gid="accepted-line")
    foot, head = _band(sheet, axes)
    if head < BAND[1] and _room_beside(sheet, axes, pooled, accepted, left, view) > sheet.width_of(
        words, size.text, weight="bold"
    ):
        _label(sheet, axes, words, accepted, (foot + head) / 2, ink, left, "center")
    else:
        _label(sheet, axes, words, accepted, BAND[0] - 0.02, ink, left, "top")


def _room_beside(
    sheet: Sheet, axes: Axes, pooled: ClassValue, accepted: float, right: bool, view: View
) -> float:
    """How far it is from the accepted line to the class's interval, on the side of the line's words, in
    points; 0 inside the interval."""
    low, high = pooled.interval_95 or (pooled.apparent_heat_capacity_J_per_kg_K,) * 2
    if low <= accepted <= high:
        return 0.0
    free = (low - accepted if low > accepted else view.high - accepted) if right else accepted - view.low
    if not right and high < accepted:
        free = accepted - high
    return free * sheet.area(axes).width / (view.high - view.low) - 0.8 * sheet.size.text


def _label(
    sheet: Sheet, axes: Axes, message: Message, x: float, y: float, ink: str, right: bool, va: str = "bottom"
) -> None:
    """Words beside their line, to its right or left."""
    label = sheet.annotate(
        axes,
        sheet.say(message),
        (x, y),
        ((0.4 if right else -0.4) * sheet.size.text, _LIFTS[va] * sheet.size.text),
        ha="left" if right else "right",
        va=va,
        color=ink,
        fontweight="bold",
        zorder=6,
    )
    sheet.keep_inside(label)
