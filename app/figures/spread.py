"""The spread by bench: every run's apparent specific heat capacity, with the class value as a band."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from app.analysis.results import ClassResult, Interval
from app.figures.findings import NO_RUNS
from app.figures.look import Size
from app.figures.marks import draw_key, draw_mark, mark_of, pile
from app.figures.numbers import ends, with_interval
from app.figures.sheet import Sheet
from app.figures.view import LEFT, NO_VALUE, OFF_SCALE, RIGHT, draw_lane, lane_width, value_words, view_of
from app.words import N_, Message

AXIS = Message(N_("apparent specific heat capacity / J/(kg·K)"))


def draw(sheet: Sheet, result: ClassResult) -> Figure:
    """Marks piled over a scale of apparent specific heat capacity; ties stand on one another."""
    if not result.runs:
        return sheet.only_words(NO_RUNS)
    size = sheet.size
    valued = [(run, run.apparent_heat_capacity_J_per_kg_K) for run in result.runs]
    known = [(run, value) for run, value in valued if value is not None]
    without = [run for run, value in valued if value is None]
    pooled = result.class_value
    counted = [value for run, value in known if not run.readings.set_aside]
    view = view_of(
        counted or [value for _, value in known],
        must_show=[pooled.apparent_heat_capacity_J_per_kg_K] if pooled else [],
        may_show=pooled.interval_95 or () if pooled else (),
    )
    below = [run for run, value in known if value < view.low]
    above = [run for run, value in known if value > view.high]
    to_left, to_right, no_arrow = value_words(sheet, LEFT), value_words(sheet, RIGHT), value_words(sheet)
    low_lane, high_lane = lane_width(sheet, below, to_left), lane_width(sheet, above, to_right)
    none_lane = lane_width(sheet, without, no_arrow)
    axes = sheet.axes(
        left=size.mark + none_lane + low_lane,
        bottom=5.2 * size.small,
        right=size.mark + high_lane,
        top=2.6 * size.text,
    )
    axes.spines["left"].set_visible(False)
    axes.set_yticks([])
    axes.set_xlim(view.low, view.high)
    sheet.scale(axes.xaxis, AXIS)
    if pooled:
        _draw_class_value(
            sheet, axes, pooled.apparent_heat_capacity_J_per_kg_K, pooled.interval_95, view.clamped
        )
    shown = [(run, value) for run, value in known if view.shows(value)]
    box = axes.get_position()
    width, height = box.width * size.width, box.height * size.height
    places = [(value - view.low) / (view.high - view.low) * width for _, value in shown]
    scale, moves = _room_for(places, size, height - 0.4 * size.mark)
    axes.set_ylim(0, height)
    for (run, value), (aside, lift) in sorted(zip(shown, moves, strict=True), key=lambda item: item[1][1]):
        draw_mark(sheet, axes, mark_of(run, value, 0.0), (aside, 0.65 * size.mark * scale + lift), scale)
    gap = size.mark / 2
    draw_lane(sheet, axes, without, gap, none_lane, NO_VALUE, no_arrow, rule_right=True)
    draw_lane(sheet, axes, below, gap + none_lane, low_lane, OFF_SCALE, to_left, rule_right=True)
    draw_lane(sheet, axes, above, size.width - gap - high_lane, high_lane, OFF_SCALE, to_right)
    draw_key(sheet, result.runs, size.small)
    return sheet.figure


def _room_for(places: Sequence[float], size: Size, height: float) -> tuple[float, list[tuple[float, float]]]:
    """The largest marks whose pile fits the height; then heaps of plain marks; at worst marks overlap."""
    for scale in (1.7, 1.4, 1.2, 1.0):
        width = size.mark * scale + size.line
        moves = pile(places, width)
        if max((lift for _, lift in moves), default=0) + width <= height * (0.75 if scale > 1 else 1):
            return scale, moves
    for sideways in (8, 4, 2, 1, 0.5):
        moves = pile(places, size.mark + size.line, sideways)
        if max(lift for _, lift in moves) + size.mark <= height:
            return 1.0, moves
    squeeze = (height - size.mark) / max(lift for _, lift in moves)
    return 1.0, [(aside, lift * squeeze) for aside, lift in moves]


def _draw_class_value(
    sheet: Sheet, axes: Axes, value: float, interval: Interval | None, held: Callable[[float], float]
) -> None:
    """The class value: a band, because it is an interval, with a line where the value lies."""
    if interval is not None:
        axes.axvspan(
            held(interval[0]),
            held(interval[1]),
            color=sheet.room.band,
            zorder=1,
            gid="class-band",
            linewidth=0,
        )
        for end in interval:
            if held(end) == end:  # an edge of the view is no edge of the band
                edge: Any = {"color": sheet.room.value, "linewidth": sheet.size.line / 2, "zorder": 2}
                axes.axvline(end, gid="bounds-of-band", **edge)
    axes.axvline(value, color=sheet.room.value, linewidth=sheet.size.line, zorder=2, gid="class-value")
    words = Message(N_("class value %(value)s"), {"value": with_interval(value, interval)})
    if interval is not None:
        low, high = ends(interval)
        words = Message(
            N_("class value %(value)s (95 %%: %(low)s to %(high)s)"),
            {"value": with_interval(value, interval), "low": low, "high": high},
        )
    label = axes.annotate(
        sheet.say(words),
        (value, 1),
        xycoords=("data", "axes fraction"),
        xytext=(0, sheet.size.small * 0.35),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize=sheet.size.text,
        color=sheet.room.value,
        gid="class-value-words",
        annotation_clip=False,
    )
    sheet.keep_inside(label)
