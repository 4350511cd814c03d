"""Warming against specific fall energy, with the straight line through the origin."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from app.analysis.results import ClassResult, LineFit, RunResult
from app.figures.callouts import draw_benches
from app.figures.findings import NO_RUNS, is_pulled
from app.figures.marks import draw_key
from app.figures.numbers import plain
from app.figures.sheet import Sheet
from app.figures.view import OFF_SCALE, View, draw_lane, lane_width, view_of
from app.physics.rounding import short
from app.words import N_, Message

X_AXIS = Message(N_("fall energy per kilogram of shot / kJ/kg"))
Y_AXIS = Message(N_("warming / K"))
THE_LINE = Message(N_("fitted line"))
ROBUST = Message(N_("robust line"))


def draw(sheet: Sheet, result: ClassResult) -> Figure:
    """A dot at (energy, warming) for each run, a bench's number beside its dots, and the line."""
    if not result.runs:
        return sheet.only_words(NO_RUNS)
    size = sheet.size
    counted = [run for run in result.runs if not run.readings.set_aside] or list(result.runs)
    x_view = _from_zero(view_of([_kJ(run) for run in counted]))
    y_view = _from_zero(view_of([run.warming_K for run in counted]))
    wild = [run for run in result.runs if not (x_view.shows(_kJ(run)) and y_view.shows(run.warming_K))]
    words = _words(sheet, x_view, y_view)
    lane = lane_width(sheet, wild, words)
    axes = sheet.axes(
        left=4.6 * size.small, bottom=5.2 * size.small, right=1.2 * size.mark + lane, top=1.6 * size.text
    )
    axes.set_xlim(x_view.low, x_view.high)
    axes.set_ylim(y_view.low, y_view.high)
    sheet.scale(axes.xaxis, X_AXIS)
    sheet.scale(axes.yaxis, Y_AXIS)
    if y_view.low < 0:
        axes.axhline(0, color=sheet.room.rule, linewidth=size.line / 2, zorder=1)
    along = _draw_line(sheet, axes, result.line, x_view, y_view) if result.line else []
    on_scale = [run for run in result.runs if run not in wild]
    draw_benches(sheet, axes, on_scale, lambda run: (_kJ(run), run.warming_K), along)
    draw_lane(sheet, axes, wild, size.width - lane - size.mark / 3, lane, OFF_SCALE, words)
    draw_key(sheet, result.runs, size.small)
    return sheet.figure


def _draw_line(
    sheet: Sheet, axes: Axes, fit: LineFit, x_view: View, y_view: View
) -> list[tuple[float, float]]:
    """The fitted line, and the robust one where single runs pull the fitted line away; places along them."""
    slopes: list[tuple[str, float, Any, Message]] = [
        ("fitted-line", fit.slope_K_kg_per_J * 1000, "-", THE_LINE)
    ]
    if is_pulled(fit) and fit.robust_slope_K_kg_per_J:
        slopes.append(("robust-line", fit.robust_slope_K_kg_per_J * 1000, (0, (4, 2)), ROBUST))
    along: list[tuple[float, float]] = []
    for name, slope, dashes, words in slopes:
        reach = min(x_view.high, y_view.high / slope) if slope > 0 else x_view.high
        width = sheet.size.line * (1.4 if name == "fitted-line" else 1)
        style: Any = {"color": sheet.room.value, "linewidth": width, "linestyle": dashes}
        axes.plot([0, reach], [0, slope * reach], zorder=2, gid=name, **style)
        above = len(along) > 0
        axes.annotate(
            sheet.say(words),
            (reach * 0.25, slope * reach * 0.25),
            xytext=((-0.3 if above else 0.5) * sheet.size.mark, (0.3 if above else -0.2) * sheet.size.mark),
            textcoords="offset points",
            fontsize=sheet.size.text,
            color=sheet.room.value,
            ha="right" if above and slope > slopes[0][1] else "left",
            va="bottom" if above else "top",
        )
        along += [(reach * k / 30, slope * reach * k / 30) for k in range(31)]
    return along


def _kJ(run: RunResult) -> float:
    return run.specific_energy_J_per_kg / 1000


def _from_zero(view: View) -> View:
    """The view from zero on (the line goes through the origin), below zero only where there is something."""
    return View(
        min(0.0, view.low) if view.low < -0.06 * abs(view.high) else 0.0, max(view.high, 0.0) * 1.04 or 1.0
    )


def _words(sheet: Sheet, x_view: View, y_view: View) -> Callable[[RunResult], str]:
    """A wild run's two figures, with an arrow to where it lies."""

    def words(run: RunResult) -> str:
        x, y = _kJ(run), run.warming_K
        across = "→" if x > x_view.high else "←" if x < x_view.low else ""
        along = "↑" if y > y_view.high else "↓" if y < y_view.low else ""
        return f"{sheet.say(plain(short(x)))} kJ/kg\n{sheet.say(plain(short(y)))} K {across}{along}"

    return words
