"""Warming against specific fall energy: a line through the origin for each level of mass."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from app.analysis.results import ClassResult, RunResult
from app.figures.benches import counted_or_all
from app.figures.callouts import Box, draw_benches
from app.figures.findings import NO_RUNS, is_pulled
from app.figures.levels import grams, mass_words, shown_levels
from app.figures.marks import draw_key, foot
from app.figures.numbers import plain
from app.figures.sheet import Sheet
from app.figures.side_column import OFF_SCALE, SideColumn, leave_room
from app.figures.view import View, view_of
from app.physics.rounding import short
from app.words import N_, Message

X_AXIS = Message(N_("fall energy per kilogram of shot / kJ/kg"))
Y_AXIS = Message(N_("warming / K"))
THE_LINE = Message(N_("fitted line"))
ROBUST = Message(N_("robust line"))
SHOT_ALONE = Message(N_("shot alone"))
DASHED = (0, (4, 2))


class Ray(NamedTuple):
    """A line through the origin, its slope in K per kJ/kg."""

    name: str
    slope: float
    words: Message
    dashed: bool = False


def draw(sheet: Sheet, result: ClassResult) -> Figure:
    """A bead at (energy, warming) for each run, a bench's number level with its beads, and the lines."""
    if not result.runs:
        return sheet.only_words(NO_RUNS)
    size = sheet.size
    counted = counted_or_all(result.runs)
    x_view = _from_zero(view_of([_kJ(run) for run in counted]))
    y_view = _from_zero(view_of([run.warming_K for run in counted]))
    wild = [run for run in result.runs if not (x_view.shows(_kJ(run)) and y_view.shows(run.warming_K))]
    off_scale = SideColumn(sheet, wild, OFF_SCALE, _words(sheet, x_view, y_view))
    rays = _rays(sheet, result)
    beside = max((sheet.width_of(ray.words, size.small) for ray in rays), default=0.0)
    left, right = 3.1 * size.small, 1.5 * size.small + beside
    leave_room(size.width - left - right, off_scale)
    axes = sheet.axes(
        left=left,
        bottom=foot(sheet, result.runs) + sheet.more_lines(X_AXIS),
        right=right + off_scale.width,
        top=2.4 * size.text + sheet.more_lines(Y_AXIS),
    )
    axes.set_xlim(x_view.low, x_view.high)
    axes.set_ylim(y_view.low, y_view.high)
    sheet.scale(axes.xaxis, X_AXIS)
    sheet.scale(axes.yaxis, Y_AXIS)
    if y_view.low < 0:
        axes.axhline(0, color=sheet.room.rule, linewidth=size.line / 2, zorder=1)
    labels = _draw_rays(sheet, axes, rays, x_view, y_view)
    on_scale = [run for run in result.runs if run not in wild or size.beads]
    draw_benches(sheet, axes, on_scale, lambda run: (_kJ(run), run.warming_K), labels)
    off_scale.draw(axes, size.width - off_scale.width - size.mark / 3)
    draw_key(sheet, result.runs, 0.8 * size.small)
    return sheet.figure


def _rays(sheet: Sheet, result: ClassResult) -> list[Ray]:
    """One for each level of mass from the class's model, and the shot alone where nothing is left to reveal.

    With one mass, or too many to show each, the fitted line, and the robust one where single runs pull it.
    """
    levels, shot, fit = shown_levels(result), result.separated.heat_capacity_J_per_kg_K, result.line
    rays = [
        Ray(f"level-{grams(level)}", 1000 / level.apparent_heat_capacity_J_per_kg_K, mass_words(level))
        for level in levels
    ]
    if not levels and fit:
        rays.append(Ray("fitted-line", fit.slope_K_kg_per_J * 1000, THE_LINE))
        if is_pulled(fit) and fit.robust_slope_K_kg_per_J:
            rays.append(Ray("robust-line", fit.robust_slope_K_kg_per_J * 1000, ROBUST, dashed=True))
    if sheet.complete and shot and result.separated.identifiable:
        rays.append(Ray("shot-alone-line", 1000 / shot, SHOT_ALONE, dashed=True))
    return rays


def _draw_rays(sheet: Sheet, axes: Axes, rays: Sequence[Ray], x_view: View, y_view: View) -> list[Box]:
    """The lines as far as the view goes, each with its name beside its end; the names' boxes.

    Names that would lie on one another move apart, in the order of the lines' ends.
    """
    size, area, apart = sheet.size, sheet.area(axes), 1.15 * sheet.size.small
    ends = []
    for ray in rays:
        reach = min(x_view.high, y_view.high / ray.slope) if ray.slope > 0 else x_view.high
        axes.plot(
            [0, reach],
            [0, ray.slope * reach],
            color=sheet.room.value,
            linewidth=size.line * (0.8 if ray.dashed else 1.2),
            linestyle=DASHED if ray.dashed else "-",
            zorder=2,
            gid=ray.name,
        )
        at = (ray.slope * x_view.high - y_view.low) / (y_view.high - y_view.low) * area.height
        ends.append((at, ray))
    ends.sort(key=lambda end: end[1].slope)
    boxes = []
    for (_, ray), y in zip(ends, _apart([end for end, _ in ends], apart, area.height), strict=True):
        text = sheet.write(
            area.right + size.small / 3,
            area.bottom + y,
            ray.words,
            fontsize=size.small,
            color=sheet.room.value,
            ha="left",
        )
        boxes.append(sheet.box_of(text, axes))
    return boxes


def _apart(wanted: Sequence[float], least: float, highest: float) -> list[float]:
    """Ascending heights near those wanted, at least so far apart and none above the highest."""
    heights: list[float] = []
    for y in wanted:
        heights.append(max(heights[-1] + least, min(y, highest)) if heights else min(y, highest))
    for i in reversed(range(len(heights))):
        heights[i] = min(heights[i], highest - (len(heights) - 1 - i) * least)
    return heights


def _kJ(run: RunResult) -> float:
    return run.specific_energy_J_per_kg / 1000


def _from_zero(view: View) -> View:
    """The view from zero on (the lines go through the origin), below zero only where there is something."""
    return View(
        min(0.0, view.low) if view.low < -0.06 * abs(view.high) else 0.0, max(view.high, 0.0) * 1.04 or 1.0
    )


def _words(sheet: Sheet, x_view: View, y_view: View) -> Callable[[RunResult], str]:
    """A wild run's two figures, with an arrow to where it lies."""

    def words(run: RunResult) -> str:
        x, y = _kJ(run), run.warming_K
        arrows = x_view.side(x, "←", "→") + y_view.side(y, "↓", "↑")
        return f"{sheet.say(plain(short(x)))} kJ/kg\n{sheet.say(plain(short(y)))} K {arrows}"

    return words
