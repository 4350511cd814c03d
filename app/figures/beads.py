"""A run as a bead at its true place, without a number."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.transforms import ScaledTranslation

from app.analysis.results import RunResult
from app.figures.sheet import Sheet

BEAD = 0.45
"""A bead's width, as a share of a mark's."""


def draw_bead(
    sheet: Sheet,
    axes: Axes,
    run: RunResult,
    at: tuple[float, float],
    shift: tuple[float, float] = (0, 0),
    scale: float = BEAD,
) -> None:
    """Draw one run at its place in the figure's units, moved by `shift` points where it had to make room."""
    size, room = sheet.size, sheet.room
    hollow, edge = run.readings.set_aside, size.line * (0.8 if run.flags or run.readings.set_aside else 0.4)
    bead = Line2D(
        [at[0]],
        [at[1]],
        marker="o",
        markersize=size.mark * scale - edge,
        markerfacecolor=room.paper if hollow else room.ink,
        markeredgecolor=room.flag if run.flags else room.ink if hollow else room.paper,
        markeredgewidth=edge,
        clip_on=False,
        zorder=5,
        gid=f"dot-{run.readings.bench}-{run.readings.run}",
        transform=axes.transData
        + ScaledTranslation(shift[0] / 72, shift[1] / 72, sheet.figure.dpi_scale_trans),
    )
    axes.add_artist(bead)
