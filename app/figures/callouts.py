"""Runs as dots at their true place, and each bench's number beside its own dots on a thin lead."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import cos, hypot, pi, sin

from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from app.analysis.results import RunResult
from app.figures.marks import Mark, draw_mark
from app.figures.sheet import Sheet

Point = tuple[float, float]
DIRECTIONS = 20


def places_beside(
    anchors: Sequence[Point],
    dots: Sequence[Point],
    width: float,
    dot: float,
    area: tuple[Point, Point],
    keep_off: Iterable[Point] = (),
) -> list[Point]:
    """A place for a mark near each anchor, clear of all dots and of the marks before it; in points.

    Rings of growing radius are tried around each anchor; the first free place inside the area is taken.
    Where none is free the mark goes on the anchor itself.
    """
    (left, bottom), (right, top) = area
    taken: list[Point] = []
    off = list(keep_off)
    for anchor in anchors:
        taken.append(anchor)
        for ring in range(1, 40):
            reach = width / 2 + dot + (ring - 1) * width / 4
            circle = [
                (
                    anchor[0] + reach * cos(2 * pi * k / DIRECTIONS),
                    anchor[1] + reach * sin(2 * pi * k / DIRECTIONS),
                )
                for k in range(DIRECTIONS)
            ]
            free = next(
                (
                    (x, y)
                    for x, y in circle
                    if left <= x <= right
                    and bottom <= y <= top
                    and all(hypot(x - a, y - b) >= width for a, b in taken[:-1])
                    and all(hypot(x - a, y - b) >= width / 2 + dot for a, b in dots)
                    and all(hypot(x - a, y - b) >= width / 2 for a, b in off)
                ),
                None,
            )
            if free:
                taken[-1] = free
                break
    return taken


def draw_benches(
    sheet: Sheet,
    axes: Axes,
    runs: Sequence[RunResult],
    where: Callable[[RunResult], Point],
    keep_off: Sequence[Point] = (),
) -> None:
    """Dots for the runs, a numbered mark for each bench; `where` gives a run's place in figure units."""
    size, room = sheet.size, sheet.room
    benches: dict[str, list[RunResult]] = {}
    for run in runs:
        benches.setdefault(run.readings.bench, []).append(run)
    box = axes.get_position()
    width, height = box.width * size.width, box.height * size.height
    (x_low, x_high), (y_low, y_high) = axes.get_xlim(), axes.get_ylim()

    def in_points(at: Point) -> Point:
        return (at[0] - x_low) / (x_high - x_low) * width, (at[1] - y_low) / (y_high - y_low) * height

    dots = [in_points(where(run)) for run in runs]
    centres = {name: _middle([where(run) for run in own]) for name, own in benches.items()}
    order = sorted(benches, key=lambda name: in_points(centres[name]), reverse=True)
    half = size.mark / 2 + size.line
    marks = places_beside(
        [in_points(centres[name]) for name in order],
        dots,
        size.mark + 1.5 * size.line,
        size.mark / 5,
        ((half, half), (width + 0.6 * size.mark, height + 0.4 * size.mark)),
        [in_points(at) for at in keep_off],
    )
    for name, (x, y) in zip(order, marks, strict=True):
        centre = centres[name]
        shift = (x - in_points(centre)[0], y - in_points(centre)[1])
        for run in benches[name]:
            _draw_dot(sheet, axes, run, where(run))
            axes.annotate(
                "",
                where(run),
                xytext=(x - in_points(where(run))[0], y - in_points(where(run))[1]),
                textcoords="offset points",
                zorder=3,
                annotation_clip=False,
                arrowprops={
                    "arrowstyle": "-",
                    "color": room.soft,
                    "linewidth": size.line / 2.2,
                    "shrinkA": 0,
                    "shrinkB": 0,
                },
            )
        own = benches[name]
        hollow, ringed = all(run.readings.set_aside for run in own), any(run.flags for run in own)
        draw_mark(sheet, axes, Mark(*centre, name, name, hollow, ringed), shift)


def _middle(places: Sequence[Point]) -> Point:
    return sum(x for x, _ in places) / len(places), sum(y for _, y in places) / len(places)


def _draw_dot(sheet: Sheet, axes: Axes, run: RunResult, at: Point) -> None:
    size, room = sheet.size, sheet.room
    hollow = run.readings.set_aside
    axes.add_artist(
        Line2D(
            [at[0]],
            [at[1]],
            marker="o",
            markersize=size.mark * 0.3,
            markerfacecolor=room.paper if hollow else room.ink,
            markeredgecolor=room.flag if run.flags else room.ink,
            markeredgewidth=size.line * (1.2 if run.flags or hollow else 0.5),
            clip_on=False,
            zorder=5,
            gid=f"dot-{run.readings.bench}-{run.readings.run}",
            transform=axes.transData,
        )
    )
