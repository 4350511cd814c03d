"""A run as a bead at its true place, without a number."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.transforms import ScaledTranslation

from app.analysis.results import RunResult
from app.figures.marks import pile
from app.figures.sheet import Sheet

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
    scale: float = BEAD,
) -> None:
    """Draw one run at its place in the figure's units, moved by `shift` points where it had to make room.

    A run beyond the axes is a wedge at their edge. Where all runs are beads, they stand back for a bench's
    own.
    """
    size, room = sheet.size, sheet.room
    (x_low, x_high), (y_low, y_high) = axes.get_xlim(), axes.get_ylim()
    held = min(max(at[0], x_low), x_high), min(max(at[1], y_low), y_high)
    plain = room.soft if size.beads else room.ink
    hollow, edge = run.readings.set_aside, size.line * (0.8 if run.flags or run.readings.set_aside else 0.4)
    bead = Line2D(
        [held[0]],
        [held[1]],
        marker=_shape(at, held),
        markersize=size.mark * scale - edge,
        markerfacecolor=room.paper if hollow else plain,
        markeredgecolor=room.flag if run.flags else plain if hollow else room.paper,
        markeredgewidth=edge,
        clip_on=False,
        zorder=5,
        gid=f"dot-{run.readings.bench}-{run.readings.run}",
        transform=axes.transData
        + ScaledTranslation(shift[0] / 72, shift[1] / 72, sheet.figure.dpi_scale_trans),
    )
    axes.add_artist(bead)


def _shape(at: tuple[float, float], held: tuple[float, float]) -> str:
    """A disc, or a wedge that points to where the run lies."""
    if at[0] != held[0]:
        return ">" if at[0] > held[0] else "<"
    return "o" if at[1] == held[1] else "^" if at[1] > held[1] else "v"


def draw_piled(
    sheet: Sheet,
    axes: Axes,
    runs: Sequence[RunResult],
    value: Callable[[RunResult], float],
    bottom: float,
    height: float,
) -> None:
    """Runs piled upwards from `bottom` (points) over their values, in the largest beads that fit."""
    low, high = axes.get_xlim()
    width = axes.get_position().width * sheet.size.width
    places = [(min(max(value(run), low), high) - low) / (high - low) * width for run in runs]
    for scale in PILED:
        bead = scale * sheet.size.mark
        moves = pile(places, 1.06 * bead)
        if max(moves, default=0.0) + 1.4 * bead <= height:
            break
    for run, up in zip(runs, moves, strict=True):
        draw_bead(sheet, axes, run, (value(run), axes.get_ylim()[0]), (0, bottom + 0.7 * bead + up), scale)
