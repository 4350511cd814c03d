"""Apparent specific heat capacity against 1/mass: the heat sink is out where the line meets the axis."""

from __future__ import annotations

from collections.abc import Callable

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Annotation

from app.analysis.results import ClassResult, RunResult
from app.figures.accepted import accepted_words
from app.figures.benches import counted_or_all, value_of
from app.figures.callouts import draw_benches
from app.figures.findings import NO_RUNS
from app.figures.levels import shown_levels
from app.figures.marks import draw_key, foot
from app.figures.numbers import ends, plain, signed, with_interval
from app.figures.sheet import Sheet
from app.figures.side_column import NO_VALUE, OFF_SCALE, SideColumn, leave_room, value_words
from app.figures.spread import AXIS
from app.figures.view import View, view_of
from app.physics.rounding import round_significant
from app.words import N_, Message

X_AXIS = Message(N_("1 / mass of shot / kg⁻¹"))
SHOT_ALONE = Message(N_("shot alone %(value)s"))
SHOT_ALONE_WITHIN = Message(N_("shot alone %(value)s (95 %%: %(low)s to %(high)s)"))


def draw(sheet: Sheet, result: ClassResult) -> Figure:
    """Dots of runs, the fitted line, the separated value and interval at 1/mass = 0, the accepted line."""
    known = [run for run in result.runs if run.apparent_heat_capacity_J_per_kg_K is not None]
    without = [run for run in result.runs if run.apparent_heat_capacity_J_per_kg_K is None]
    if not known:
        return sheet.only_words(result.class_value_absent_because or NO_RUNS)
    size, found, accepted = sheet.size, result.separated, result.settings.accepted_J_per_kg_K
    counted = counted_or_all(known)
    c = found.heat_capacity_J_per_kg_K if found.identifiable else None
    y_view = view_of(
        [value_of(run) for run in counted],
        must_show=[accepted] if c is None else [accepted, c],
        may_show=found.interval_95 or () if c is not None else (),
    )
    needed = [0.0, *(1 / level.mass_kg for level in shown_levels(result))]
    x_high = view_of([_per_mass(run) for run in counted], must_show=needed).high * 1.03
    x_view = View(0, x_high)
    wild = [run for run in known if not (x_view.shows(_per_mass(run)) and y_view.shows(value_of(run)))]
    off_scale = SideColumn(sheet, wild, OFF_SCALE, _off_scale_words(sheet, x_view, y_view))
    no_value = SideColumn(sheet, without, NO_VALUE, value_words(sheet))
    left, top, bottom = 3.1 * size.small, 2.4 * size.text + sheet.more_lines(AXIS), foot(sheet, result.runs)
    leave_room(size.width - left - 1.2 * size.mark, off_scale, no_value)
    beside = no_value.width + off_scale.width
    right = size.mark * (1.2 if beside else 0.8) + beside
    said = _shot_words(sheet, result, size.width - left - right - size.mark) if c is not None else ""
    # The words stand below the lower one of the two values.
    share = (1.5 + 1.3 * said.count("\n")) * size.text / (size.height - top - bottom)
    lowest = accepted if c is None else min(accepted, c)
    y_view = View(min(y_view.low, (lowest - share * y_view.high) / (1 - share)), y_view.high)
    axes = sheet.axes(left=left, bottom=bottom, right=right, top=top)
    axes.set_xlim(0, x_high)
    axes.set_ylim(y_view.low, y_view.high)
    sheet.scale(axes.xaxis, X_AXIS)
    sheet.scale(axes.yaxis, AXIS)
    axes.axhline(
        accepted, color=sheet.room.accepted, linewidth=1.4 * size.line, zorder=2, gid="accepted-line"
    )
    words = [_accepted_words(sheet, axes, accepted, x_high)]
    if c is not None:
        words.append(_draw_line(sheet, axes, result, y_view, x_high, said))
    draw_benches(
        sheet,
        axes,
        [run for run in known if run not in wild or size.beads],
        lambda run: (_per_mass(run), value_of(run)),
        [sheet.box_of(text, axes) for text in words if text is not None],
    )
    edge = size.width - size.mark / 3
    off_scale.draw(axes, edge - beside)
    no_value.draw(axes, edge - no_value.width)
    draw_key(sheet, result.runs, 0.8 * size.small)
    return sheet.figure


def _per_mass(run: RunResult) -> float:
    return 1 / run.readings.shot_mass_kg


def _shot_words(sheet: Sheet, result: ClassResult, room: float) -> str:
    """The separated value and its interval, on two lines where they are wider than the room (points), and
    without the interval, which the table has, where that is no help."""
    found = result.separated
    value = with_interval(found.heat_capacity_J_per_kg_K or 0.0, found.interval_95)
    words = Message(SHOT_ALONE.template, {"value": value})
    if found.interval_95 is not None:
        low, high = ends(found.interval_95)
        words = Message(SHOT_ALONE_WITHIN.template, {"value": value, "low": low, "high": high})
    said = sheet.say(words)
    if sheet.width_of(words, sheet.size.text, weight="bold") <= room:
        return said
    first, _, second = said.partition(" (")
    fits = sheet.width_of(plain(f"({second}"), sheet.size.small, weight="bold") <= room
    return f"{first}\n({second}" if second and fits else first


def _draw_line(
    sheet: Sheet, axes: Axes, result: ClassResult, y_view: View, x_high: float, said: str
) -> Annotation:
    found, size = result.separated, sheet.size
    c, sink = found.heat_capacity_J_per_kg_K or 0.0, found.heat_sink_J_per_K or 0.0
    axes.plot(
        [0, x_high],
        [c, c + sink * x_high],
        color=sheet.room.value,
        linewidth=1.4 * size.line,
        zorder=3,
        gid="separated-line",
    )
    if found.interval_95 is not None:
        low, high = (y_view.clamped(end) for end in found.interval_95)
        axes.plot(
            [0, 0],
            [low, high],
            color=sheet.room.value,
            linewidth=4 * size.line,
            solid_capstyle="butt",
            zorder=5,
            clip_on=False,
            gid="separated-interval",
        )
    axes.plot(
        [0],
        [c],
        marker="D",
        markersize=size.mark * 0.55,
        color=sheet.room.value,
        markeredgecolor=sheet.room.paper,
        clip_on=False,
        zorder=6,
        gid="separated-value",
    )
    label = sheet.annotate(
        axes,
        said,
        (0, min(c, result.settings.accepted_J_per_kg_K)),
        (0.45 * size.mark, -0.3 * size.text),
        ha="left",
        va="top",
        color=sheet.room.value,
        fontweight="bold",
        gid="separated-words",
        zorder=7,
    )
    sheet.fit(label, sheet.area(axes).width - 0.45 * size.mark)
    return label


def _off_scale_words(sheet: Sheet, x_view: View, y_view: View) -> Callable[[RunResult], str]:
    """A wild run's figures, with an arrow to where it lies."""

    def words(run: RunResult) -> str:
        up = y_view.side(value_of(run), "↓", "↑")
        said = f"{sheet.say(plain(signed(round_significant(value_of(run)))))} {up}".strip()
        beyond = f"\n{sheet.say(plain(round_significant(_per_mass(run))))} kg⁻¹ →"
        return said + x_view.side(_per_mass(run), "", beyond)

    return words


def _accepted_words(sheet: Sheet, axes: Axes, accepted: float, x_high: float) -> Annotation | None:
    """Above the right end of their line; on two lines, and at last left to the finding, where it is short."""
    said = sheet.say(accepted_words(accepted))
    for words in (said, "\n".join(said.rsplit(" ", 1))):
        lines = words.splitlines()
        wide = max(sheet.width_of(plain(line), sheet.size.text, weight="bold") for line in lines)
        if wide < sheet.area(axes).width:
            return sheet.annotate(
                axes,
                words,
                (x_high, accepted),
                (-0.1 * sheet.size.mark, 0.2 * sheet.size.text),
                ha="right",
                va="bottom",
                color=sheet.room.accepted,
                fontweight="bold",
                zorder=7,
            )
    return None
