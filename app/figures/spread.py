"""The spread by bench: every run's apparent specific heat capacity, with the class value as a band.

Where the class has several masses, each level of mass has a lane of its own with its own middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from app.analysis.results import ClassResult, ClassValue, RunResult
from app.figures.beads import draw_piled
from app.figures.benches import counted_or_all, runs_by_bench, value_of
from app.figures.findings import NO_RUNS
from app.figures.levels import mass_words, shown_levels
from app.figures.marks import (
    PLAIN,
    RINGED,
    draw_key,
    draw_mark,
    foot,
    in_rows,
    mark_of,
    mark_of_bench,
    pile,
)
from app.figures.numbers import ends, plain, with_interval
from app.figures.sheet import Sheet
from app.figures.side_column import NO_VALUE, OFF_SCALE, SideColumn, leave_room, value_words
from app.figures.view import View, draw_interval, view_of
from app.words import N_, Message

AXIS = Message(N_("apparent specific heat capacity / J/(kg·K)"))
MOST_NUMBERED = 48
"""More runs than these are strokes, with one number for each bench (our own choice)."""


@dataclass(frozen=True)
class Lane:
    """Runs that stand together: those of one level of mass, with its middle, or all of the class."""

    runs: tuple[RunResult, ...]
    words: Message | None = None
    middle: float | None = None
    middle_words: Message | None = None


def draw(sheet: Sheet, result: ClassResult) -> Figure:
    """Marks piled over a scale of apparent specific heat capacity; ties stand on one another."""
    if not result.runs:
        return sheet.only_words(NO_RUNS)
    size = sheet.size
    known = [run for run in result.runs if run.apparent_heat_capacity_J_per_kg_K is not None]
    without = [run for run in result.runs if run.apparent_heat_capacity_J_per_kg_K is None]
    pooled, lanes = result.class_value, _lanes(result, known)
    view = _view(result, known, [lane.middle for lane in lanes if lane.middle is not None])
    below = [run for run in known if value_of(run) < view.low]
    above = [run for run in known if value_of(run) > view.high]
    no_value = SideColumn(sheet, without, NO_VALUE, value_words(sheet))
    to_left = SideColumn(sheet, below, OFF_SCALE, value_words(sheet, "←"))
    to_right = SideColumn(sheet, above, OFF_SCALE, value_words(sheet, "→"))
    names = max((_width_of_name(sheet, lane) for lane in lanes), default=0.0)
    left = size.mark / 2 + (names + size.small / 2 if names else size.mark / 2)
    leave_room(size.width - left - size.mark, no_value, to_left, to_right)
    axes = sheet.axes(
        left=left + no_value.width + to_left.width,
        bottom=foot(sheet, result.runs) + sheet.more_lines(AXIS),
        right=size.mark + to_right.width,
        top=1.9 * size.text,
        upright=False,
    )
    axes.set_xlim(view.low, view.high)
    sheet.scale(axes.xaxis, AXIS)
    if pooled:
        _draw_class_value(sheet, axes, pooled, view)
    axes.set_ylim(0, sheet.area(axes).height)
    each = sheet.area(axes).height / len(lanes)
    scale = _numbered_scale(sheet, axes, lanes, view, each)
    for row, lane in enumerate(reversed(lanes)):
        _draw_a_lane(sheet, axes, lane, view, row * each, each, names)
        if size.beads:
            draw_piled(sheet, axes, lane.runs, value_of, row * each, each)
        elif scale:
            _draw_numbered(sheet, axes, lane, view, row * each, scale)
        else:
            _draw_strokes(sheet, axes, lane, view, (row * each, each))
    gap = size.mark / 2
    no_value.draw(axes, gap, rule_right=True)
    to_left.draw(axes, gap + no_value.width, rule_right=True)
    to_right.draw(axes, size.width - gap - to_right.width)
    draw_key(sheet, result.runs, 0.8 * size.small)
    return sheet.figure


def _lanes(result: ClassResult, known: Sequence[RunResult]) -> list[Lane]:
    """From the lightest on, from above."""
    levels = shown_levels(result)
    if not levels:
        return [Lane(tuple(known))]
    return [
        Lane(
            tuple(run for run in known if run.readings.bench in level.benches),
            mass_words(level),
            level.apparent_heat_capacity_J_per_kg_K,
            plain(with_interval(level.apparent_heat_capacity_J_per_kg_K, level.interval_95)),
        )
        for level in levels
    ]


def _view(result: ClassResult, known: Sequence[RunResult], middles: Sequence[float]) -> View:
    pooled = result.class_value
    shown = [pooled.apparent_heat_capacity_J_per_kg_K] if pooled else []
    return view_of(
        [value_of(run) for run in counted_or_all(known)],
        must_show=[*shown, *middles],
        may_show=pooled.interval_95 or () if pooled else (),
    )


def _width_of_name(sheet: Sheet, lane: Lane) -> float:
    said = [words for words in (lane.words, lane.middle_words) if words is not None]
    return max((sheet.width_of(words, sheet.size.small) for words in said), default=0.0)


def _draw_a_lane(
    sheet: Sheet, axes: Axes, lane: Lane, view: View, bottom: float, height: float, names: float
) -> None:
    """The lane's runs between `bottom` and `bottom + height` (points), its name and its middle."""
    size, room, area = sheet.size, sheet.room, sheet.area(axes)
    left, foot = area.left, area.bottom
    if lane.words is not None and lane.middle is not None and lane.middle_words is not None:
        if bottom:
            sheet.rule((left - names - size.small / 2, area.right), (foot + bottom,) * 2)
        axes.plot(
            [lane.middle] * 2,
            [bottom + 0.06 * height, bottom + 0.94 * height],
            color=room.value,
            linewidth=1.6 * size.line,
            zorder=3,
            gid=f"middle-{lane.words.values['mass']}",
        )
        edge, middle = left - size.small / 2, foot + bottom + height / 2
        sheet.write(edge, middle, lane.words, fontsize=size.small, ha="right", va="bottom")
        sheet.write(
            edge, middle, lane.middle_words, fontsize=size.small, ha="right", va="top", color=room.value
        )


def _shown(lane: Lane, view: View) -> list[RunResult]:
    return [run for run in lane.runs if view.shows(value_of(run))]


def _numbered_scale(
    sheet: Sheet, axes: Axes, lanes: Sequence[Lane], view: View, height: float
) -> float | None:
    """The largest marks, a number for each run, whose piles fit their lanes; None where none do."""
    if sum(len(lane.runs) for lane in lanes) > MOST_NUMBERED:
        return None
    for scale in (1.7, 1.4, 1.2, 1.0) if len(lanes) == 1 else (1.2, 1.0):
        room = (height - 0.2 * sheet.size.mark) * (0.75 if scale > 1 else 1)
        if all(_high(sheet, axes, lane, view, scale) <= room for lane in lanes):
            return scale
    return None


def _high(sheet: Sheet, axes: Axes, lane: Lane, view: View, scale: float) -> float:
    """How high the pile of the lane's numbered runs is, in points."""
    shown = _shown(lane, view)
    mark = _width(sheet, shown, scale)
    moves = pile(view.in_points(map(value_of, shown), sheet.area(axes).width), mark)
    return max(moves, default=0.0) + mark


def _width(sheet: Sheet, shown: Sequence[RunResult], scale: float = 1.0) -> float:
    """A mark's, with the gap to its neighbour, and its ring where there are some."""
    gap = RINGED if any(run.flags for run in shown) else PLAIN
    return sheet.size.mark * scale + gap * sheet.size.line


def _draw_numbered(sheet: Sheet, axes: Axes, lane: Lane, view: View, bottom: float, scale: float) -> None:
    shown = _shown(lane, view)
    mark = _width(sheet, shown, scale)
    moves = pile(view.in_points(map(value_of, shown), sheet.area(axes).width), mark)
    for run, up in sorted(zip(shown, moves, strict=True), key=lambda item: item[1]):
        shift = (0.0, bottom + 0.1 * sheet.size.mark + mark / 2 + up)
        draw_mark(sheet, axes, mark_of(run, value_of(run), 0.0), shift, scale)


def _draw_strokes(sheet: Sheet, axes: Axes, lane: Lane, view: View, span: tuple[float, float]) -> None:
    """Runs as strokes, and below them a numbered mark for each bench near the mean of its runs; only the
    flagged benches' where there is no room for all."""
    size, shown = sheet.size, _shown(lane, view)
    mark = _width(sheet, shown)
    bottom, height = span
    own = runs_by_bench(shown)
    stroke = 0.42 * size.mark
    limits, most = (mark / 2, sheet.area(axes).width - mark / 2), max(1, int((height - stroke) / mark))
    flagged = [bench for bench, runs in own.items() if any(run.flags for run in runs)]
    for benches in (list(own), flagged, []):
        places = view.in_points((_mean(own[bench]) for bench in benches), sheet.area(axes).width)
        moves = _in_few_rows(places, mark, most, limits)
        if moves is not None:
            break
    deep = max((down for _, down in moves or ()), default=-mark) + mark
    foot = bottom + max(0.0, (height - deep - stroke) / 2)
    for run in shown:
        _draw_stroke(sheet, axes, run, foot + deep, stroke)
    for bench, (aside, down) in zip(benches, moves or (), strict=True):
        shift = (aside, foot + deep - mark / 2 - down)
        draw_mark(sheet, axes, mark_of_bench(own[bench], _mean(own[bench]), 0.0), shift)


def _draw_stroke(sheet: Sheet, axes: Axes, run: RunResult, bottom: float, length: float) -> None:
    room, aside = sheet.room, run.readings.set_aside
    axes.plot(
        [value_of(run)] * 2,
        [bottom, bottom + length],
        color=room.flag if run.flags else room.soft if aside else room.ink,
        linewidth=sheet.size.line * (1.6 if run.flags else 1.0),
        linestyle=(0, (1, 1)) if aside else "-",
        zorder=5,
        gid=f"stroke-{run.readings.bench}-{run.readings.run}",
    )


def _mean(runs: Sequence[RunResult]) -> float:
    """Of the counted runs, where there are some."""
    values = [value_of(run) for run in counted_or_all(runs)]
    return sum(values) / len(values)


def _in_few_rows(
    places: Sequence[float], mark: float, most: int, limits: tuple[float, float]
) -> list[tuple[float, float]] | None:
    """The first rows in which every number stands within a mark's width of its place, else the most rows."""
    moves = None
    for rows in range(1, most + 1):
        moves = in_rows(places, mark, rows, limits) or moves
        if moves is not None and max((abs(aside) for aside, _ in moves), default=0.0) < mark:
            break
    return moves


def _draw_class_value(sheet: Sheet, axes: Axes, pooled: ClassValue, view: View) -> None:
    """The class value: a band, because it is an interval, with a line where the value lies."""
    value, interval = pooled.apparent_heat_capacity_J_per_kg_K, pooled.interval_95
    if interval is not None:
        draw_interval(sheet, axes, interval, view, edges_zorder=1.5)
    axes.axvline(value, color=sheet.room.value, linewidth=sheet.size.line, zorder=2, gid="class-value")
    words = Message(N_("class value %(value)s"), {"value": with_interval(value, interval)})
    if interval is not None:
        low, high = ends(interval)
        words = Message(
            N_("class value %(value)s (95 %%: %(low)s to %(high)s)"),
            {"value": with_interval(value, interval), "low": low, "high": high},
        )
    label = sheet.annotate(
        axes,
        sheet.say(words),
        (value, 1),
        (0, sheet.size.small * 0.35),
        xycoords=("data", "axes fraction"),
        ha="center",
        va="bottom",
        color=sheet.room.value,
        gid="class-value-words",
    )
    sheet.fit(label, sheet.size.width - sheet.size.mark)
    sheet.keep_inside(label)
