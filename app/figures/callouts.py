"""Runs as beads at their true place, and each bench's number level with its own bead on a thin lead.

A number keeps the height of its bench's middle bead and moves sideways only, so every lead is level and none
crosses another. Numbers of benches that lie together stand side by side like shots on a string. Where there
is no room for all of them, only the flagged benches have theirs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import hypot, sqrt
from typing import NamedTuple

from matplotlib.axes import Axes

from app.analysis.results import RunResult
from app.figures.beads import BEAD, draw_bead
from app.figures.benches import runs_by_bench
from app.figures.marks import PLAIN, RINGED, draw_mark, mark_of_bench
from app.figures.sheet import Sheet

Point = tuple[float, float]
Box = tuple[Point, Point]
"""Lower left and upper right corner."""


class Lead(NamedTuple):
    """A level lead in points."""

    start: float
    end: float
    y: float


class Place(NamedTuple):
    """Where a number stands, and the lead from its bead to it."""

    x: float
    y: float
    lead: Lead


def places_level(
    anchors: Sequence[Point],
    dots: Sequence[Point],
    width: float,
    dot: float,
    area: Box,
    keep_off: Sequence[Box] = (),
) -> list[Place | None]:
    """A place level with each anchor, clear of all dots, boxes, leads and numbers before it; in points.

    The nearest free one is taken, to the right before to the left; None where there is none. `width` is a
    number's, `dot` a dot's.
    """
    (left, bottom), (right, top) = area
    taken: list[Place] = []
    found: list[Place | None] = []
    for x, y in anchors:
        place = None
        step = 0
        while place is None and step < 8 * (right - left) / width:
            away = (width + dot) / 2 + step * width / 8
            for at in (x + away, x - away):
                if not (left <= at <= right and bottom <= y <= top):
                    continue
                lead = _lead(x, at, y, width, taken)
                if _is_free(at, y, lead, dots, width, dot, keep_off, taken):
                    place = Place(at, y, lead)
                    break
            step += 1
        found.append(place)
        if place is not None:
            taken.append(place)
    return found


def _lead(start: float, at: float, y: float, width: float, taken: Sequence[Place]) -> Lead:
    """From the bead's place to the number's edge, or from the edge of the last number on the way."""
    side = 1.0 if at > start else -1.0
    end = at - side * width / 2
    for other in taken:
        if abs(other.y - y) < width / 2 and min(start, at) <= other.x <= max(start, at):
            edge = other.x + side * sqrt((width / 2) ** 2 - (other.y - y) ** 2)
            start = max(start, edge) if side > 0 else min(start, edge)
    return Lead(start, end, y)


def _is_free(
    x: float,
    y: float,
    lead: Lead,
    dots: Sequence[Point],
    width: float,
    dot: float,
    keep_off: Sequence[Box],
    taken: Sequence[Place],
) -> bool:
    half = width / 2
    low, high = sorted((lead.start, lead.end))
    return (
        all(hypot(x - a, y - b) >= half + dot / 2 for a, b in dots)
        and all(hypot(x - other.x, y - other.y) >= width for other in taken)
        and not any(_beside(x, y, other.lead, half) for other in taken)
        and not any(abs(other.lead.y - y) < 1 and _meet((low, high), other.lead) for other in taken)
        and not any(a - half <= x <= c + half and b - half <= y <= d + half for (a, b), (c, d) in keep_off)
        and not any(b <= y <= d and low <= c and high >= a for (a, b), (c, d) in keep_off)
    )


def _beside(x: float, y: float, lead: Lead, half: float) -> bool:
    """Whether a number at this place would lie on a lead."""
    low, high = sorted((lead.start, lead.end))
    return abs(y - lead.y) < half and low - half < x < high + half


def _meet(one: tuple[float, float], lead: Lead) -> bool:
    low, high = sorted((lead.start, lead.end))
    return one[0] < high and one[1] > low


def draw_benches(
    sheet: Sheet,
    axes: Axes,
    runs: Sequence[RunResult],
    where: Callable[[RunResult], Point],
    keep_off: Sequence[Box] = (),
) -> None:
    """Beads for the runs, a numbered mark for each bench; `where` gives a run's place in figure units.

    `keep_off` are boxes in points from the axes' lower left corner.
    """
    size = sheet.size
    benches = runs_by_bench(runs)
    for run in runs:
        draw_bead(sheet, axes, run, where(run))
    if size.beads:
        return
    _, _, width, height = sheet.area(axes)
    (x_low, x_high), (y_low, y_high) = axes.get_xlim(), axes.get_ylim()

    def in_points(at: Point) -> Point:
        return (at[0] - x_low) / (x_high - x_low) * width, (at[1] - y_low) / (y_high - y_low) * height

    middles = {
        name: sorted(map(where, own), key=lambda at: at[1])[len(own) // 2] for name, own in benches.items()
    }
    flagged = {name for name, own in benches.items() if any(run.flags for run in own)}
    order = sorted(benches, key=lambda name: (name not in flagged, in_points(middles[name])[::-1]))
    half = size.mark / 2 + 1.5 * size.line
    places = places_level(
        [in_points(middles[name]) for name in order],
        [in_points(where(run)) for run in runs],
        size.mark + (RINGED if flagged else PLAIN) * size.line,
        size.mark * BEAD,
        ((half, half), (width, height)),
        keep_off,
    )
    all_fit = None not in places
    for name, place in zip(order, places, strict=True):
        if place is None or not (all_fit or name in flagged):
            continue
        middle = middles[name]
        x, y = in_points(middle)
        _draw_lead(sheet, axes, place.lead, name)
        draw_mark(sheet, axes, mark_of_bench(benches[name], *middle), (place.x - x, place.y - y))


def _draw_lead(sheet: Sheet, axes: Axes, lead: Lead, name: str) -> None:
    left, bottom, *_ = sheet.area(axes)
    ends = (left + lead.start, left + lead.end)
    sheet.rule(ends, (bottom + lead.y,) * 2, color=sheet.room.soft, zorder=3, gid=f"lead-{name}")
