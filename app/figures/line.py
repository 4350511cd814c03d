"""Warming against specific fall energy, with the straight line through the origin."""

from __future__ import annotations

from collections.abc import Callable

from matplotlib.figure import Figure

from app.analysis.results import ClassResult, RunResult
from app.figures.callouts import draw_benches
from app.figures.key import draw_key
from app.figures.lanes import OFF_SCALE, draw_lane, lane_width
from app.figures.numbers import plain
from app.figures.reasons import NO_RUNS
from app.figures.sheet import Sheet
from app.figures.view import View, view_of
from app.words import N_, Message

X_AXIS = Message(N_("fall energy per kilogram of shot / kJ/kg"))
Y_AXIS = Message(N_("warming / K"))
THE_LINE = Message(N_("fitted line"))


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
    slope = result.line.slope_K_kg_per_J * 1000 if result.line else 0.0
    reach = min(x_view.high, y_view.high / slope) if slope > 0 else x_view.high
    if result.line is not None:
        axes.plot(
            [0, reach],
            [0, slope * reach],
            color=sheet.room.band_ink,
            linewidth=1.4 * size.line,
            zorder=2,
            gid="fitted-line",
        )
        axes.annotate(
            sheet.say(THE_LINE),
            (reach * 0.25, slope * reach * 0.25),
            xytext=(0.5 * size.mark, -0.2 * size.mark),
            textcoords="offset points",
            fontsize=size.text,
            color=sheet.room.band_ink,
            ha="left",
            va="top",
        )
    on_scale = [run for run in result.runs if run not in wild]
    along = [(reach * k / 30, slope * reach * k / 30) for k in range(31)]
    draw_benches(sheet, axes, on_scale, lambda run: (_kJ(run), run.warming_K), along)
    draw_lane(sheet, axes, wild, size.width - lane - size.mark / 3, lane, OFF_SCALE, words)
    draw_key(sheet, result.runs, size.small)
    return sheet.figure


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
        return f"{sheet.say(plain(f'{x:.3g}'))} kJ/kg\n{sheet.say(plain(f'{y:.3g}'))} K {across}{along}"

    return words
