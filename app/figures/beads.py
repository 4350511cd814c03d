"""A run as a bead at its true place, without a number."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from matplotlib.axes import Axes

from app.analysis.results import RunResult
from app.figures.marks import largest_pile
from app.figures.sheet import Sheet
from app.figures.view import View

BEAD = 0.45
"""A bead's width, as a share of a mark's."""
PILED = (0.6, 0.5, 0.4, 0.3, 0.22, 0.17, 0.13)
"""The same in piles, the first that fits (our own choice)."""


def draw_bead(
    sheet: Sheet,
    axes: Axes,
    run: RunResult,
    at: tuple[float, float],
    shift: tuple[float, float] = (0, 0),
    width: float | None = None,
) -> None:
    """Draw one run at its place in the figure's units, moved by `shift` points where it had to make room.

    A run beyond the axes is a wedge at their edge. Where all runs are beads, they are drawn soft, so that a
    bench's own stands out. `width` is in points.
    """
    size, room = sheet.size, sheet.room
    (x, y), x_view, y_view = at, View(*axes.get_xlim()), View(*axes.get_ylim())
    plain = room.soft if size.beads else room.ink
    hollow, edge = run.readings.set_aside, size.line * (0.8 if run.flags or run.readings.set_aside else 0.4)
    sheet.dot(
        axes,
        (x_view.clamped(x), y_view.clamped(y)),
        shift,
        marker=x_view.side(x, "<", ">") or y_view.side(y, "v", "^", "o"),
        markersize=(BEAD * size.mark if width is None else width) - edge,
        markerfacecolor=room.paper if hollow else plain,
        markeredgecolor=room.flag if run.flags else plain if hollow else room.paper,
        markeredgewidth=edge,
        zorder=5,
        gid=f"dot-{run.readings.bench}-{run.readings.run}",
    )


def draw_piled(
    sheet: Sheet,
    axes: Axes,
    runs: Sequence[RunResult],
    value: Callable[[RunResult], float],
    bottom: float,
    height: float,
) -> None:
    """Runs piled upwards from `bottom` (points) over their values, in the largest beads that fit."""
    mark, floor = sheet.size.mark, axes.get_ylim()[0]
    places = View(*axes.get_xlim()).in_points(map(value, runs), sheet.area(axes).width)
    bead, moves = largest_pile(places, [scale * mark for scale in PILED], 1.06, 1.4, height)
    for run, up in zip(runs, moves, strict=True):
        draw_bead(sheet, axes, run, (value(run), floor), (0, bottom + 0.7 * bead + up), bead)
