"""Marks of runs: a bench is its number inside its mark, hollow when set aside, ringed when flagged.

The key under a figure says so in words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from matplotlib.axes import Axes
from matplotlib.text import Text
from matplotlib.transforms import offset_copy
from scipy.optimize import isotonic_regression

from app.analysis.results import RunResult
from app.figures.sheet import Sheet
from app.words import N_, Message

COUNTED = Message(N_("counted"))
FLAGGED = Message(N_("flagged: look again"))
FLAGGED_SHORT = Message(N_("flagged"))
SET_ASIDE = Message(N_("set aside"))
HALF_A_DIGIT = 0.345
"""Half the height of a digit, as a share of the letters' size (capital height of the text face: 0.689)."""
PLAIN, RINGED = 2.0, 6.0
"""How much wider than itself the room of a mark is, in line widths: without its ring, and with it."""


@dataclass(frozen=True)
class Mark:
    """One run (or one bench) at its place in the figure's own units."""

    x: float
    y: float
    bench: str
    name: str
    hollow: bool
    ringed: bool


def pile(places: Sequence[float], width: float) -> list[float]:
    """How far up each mark moves on a shelf so that no two overlap, in points.

    Marks are set down from left to right, each as low as it can lie among those already there, so ties
    stand on one another. Empty in, empty out.
    """
    moves = [0.0] * len(places)
    settled: list[tuple[float, float]] = []
    for index in sorted(range(len(places)), key=lambda i: places[i]):
        moves[index] = _lowest(places[index], width, settled)
        settled.append((places[index], moves[index]))
    return moves


def largest_pile(
    places: Sequence[float], widths: Sequence[float], gap: float, head: float, height: float
) -> tuple[float, list[float]]:
    """The first width of beads whose pile fits a height, else the last, and how far up each bead moves.

    `gap` and `head` are the beads' distance and the room that the highest one needs, in widths of a bead.
    """
    for width in widths:
        moves = pile(places, gap * width)
        if max(moves, default=0.0) + head * width <= height:
            break
    return width, moves


def in_rows(
    places: Sequence[float], width: float, rows: int, limits: tuple[float, float]
) -> list[tuple[float, float]] | None:
    """How far each mark moves (sideways, down) so that all lie in so many rows within the limits, in points.

    Neighbours are dealt to the rows in turn; within a row the squares of the moves are least (isotonic
    regression of place minus rank times width). None where the rows are too short.
    """
    moves = [(0.0, 0.0)] * len(places)
    order = sorted(range(len(places)), key=lambda i: places[i])
    for row in range(rows):
        own = order[row::rows]
        room = limits[1] - limits[0] - (len(own) - 1) * width
        if own and room < 0:
            return None
        ranks = np.arange(len(own)) * width
        free = np.array([places[i] for i in own]) - ranks
        kept = np.clip(isotonic_regression(free).x, limits[0], limits[0] + room) + ranks if own else ranks
        for i, x in zip(own, kept.tolist(), strict=True):
            moves[i] = (x - places[i], row * width)
    return moves


def _lowest(place: float, width: float, settled: Sequence[tuple[float, float]]) -> float:
    """The least height at which a mark lies free of those settled."""
    near = [(x, y) for x, y in settled if abs(place - x) < width * 0.999]
    candidates = [0.0] + [y + sqrt(width**2 - (place - x) ** 2) for x, y in near]
    free = (
        height
        for height in sorted(candidates)
        if all((place - x) ** 2 + (height - y) ** 2 >= (width * 0.998) ** 2 for x, y in near)
    )
    return next(free)


def draw_mark(
    sheet: Sheet, axes: Axes | None, mark: Mark, shift: tuple[float, float] = (0, 0), scale: float = 1
) -> None:
    """Draw one mark at its true place, moved by `shift` points where it had to make room."""
    room, line, width = sheet.room, sheet.size.line, sheet.size.mark * scale
    if mark.ringed:
        sheet.dot(
            axes,
            (mark.x, mark.y),
            shift,
            markersize=width + 4 * line,
            markerfacecolor="none",
            markeredgecolor=room.flag,
            markeredgewidth=1.6 * line,
            gid=f"ring-{mark.name}",
            zorder=6,
        )
    sheet.dot(
        axes,
        (mark.x, mark.y),
        shift,
        markersize=width - line,
        markerfacecolor=room.paper if mark.hollow else room.ink,
        markeredgecolor=room.ink if mark.hollow else room.paper,
        markeredgewidth=line if mark.hollow else line / 2,
        gid=f"mark-{mark.name}",
        zorder=6,
    )
    letters = len(mark.bench)
    fontsize = sheet.size.small * scale * (1 if letters < 3 else 2.1 / letters)
    base = axes.transData if axes else sheet.points
    number = Text(
        mark.x,
        mark.y,
        mark.bench,
        fontsize=fontsize,
        color=room.ink if mark.hollow else room.paper,
        ha="center",
        va="baseline",
        gid=f"number-{mark.name}",
        parse_math=False,
        clip_on=False,
        zorder=6,
        transform=offset_copy(
            base, sheet.figure, shift[0], shift[1] - HALF_A_DIGIT * fontsize, units="points"
        ),
    )
    (axes or sheet.figure).add_artist(number)


def mark_of(run: RunResult, x: float, y: float) -> Mark:
    """The mark of one run at its place."""
    readings = run.readings
    return Mark(x, y, readings.bench, f"{readings.bench}-{readings.run}", readings.set_aside, bool(run.flags))


def mark_of_bench(runs: Sequence[RunResult], x: float, y: float) -> Mark:
    """One mark for all runs of a bench: hollow where all are set aside, ringed where one is flagged."""
    bench, flagged = runs[0].readings.bench, any(run.flags for run in runs)
    return Mark(x, y, bench, bench, all(run.readings.set_aside for run in runs), flagged)


def foot(sheet: Sheet, runs: Iterable[RunResult]) -> float:
    """The room below the axes, in points: for ticks, the scale's words, and the key where there is one."""
    return (4.9 if any(run.flags or run.readings.set_aside for run in runs) else 3.2) * sheet.size.small


def draw_key(sheet: Sheet, runs: Iterable[RunResult], y: float) -> None:
    """One line that explains the kinds of mark that are there; nothing when all are plain.

    Where it is too long "counted" goes, then "look again".
    """
    listed = list(runs)
    flagged = any(run.flags for run in listed)
    aside = [(SET_ASIDE, True, False)] if any(run.readings.set_aside for run in listed) else []
    if not (flagged or aside):
        return
    look, short = ([(words, False, True)] if flagged else [] for words in (FLAGGED, FLAGGED_SHORT))
    counted = [] if sheet.size.beads else [(COUNTED, False, False)]
    fontsize, gap = sheet.size.small, sheet.size.mark

    def fits(items: list[tuple[Message, bool, bool]]) -> bool:
        return sum(2 * gap + sheet.width_of(words, fontsize) for words, _, _ in items) < sheet.size.width

    ways = ([*counted, *look, *aside], [*look, *aside], [*short, *aside])
    x = gap
    for words, hollow, ringed in next(filter(fits, ways), ways[-1]):
        if sheet.size.beads:
            _draw_key_bead(sheet, x, y, hollow, ringed)
        else:
            draw_mark(sheet, None, Mark(x, y, "", f"key-{words.template[:7]}", hollow, ringed), scale=0.6)
        sheet.write(x + 0.65 * gap, y, words, fontsize=fontsize, color=sheet.room.soft, ha="left")
        x += 2 * gap + sheet.width_of(words, fontsize)


def _draw_key_bead(sheet: Sheet, x: float, y: float, hollow: bool, ringed: bool) -> None:
    """What stands in the key where the runs are beads."""
    room, width = sheet.room, 0.1 * sheet.size.mark
    sheet.dot(
        None,
        (x, y),
        markersize=0.5 * sheet.size.mark - width,
        markerfacecolor=room.paper if hollow else room.soft,
        markeredgecolor=room.flag if ringed else room.soft,
        markeredgewidth=width,
    )
