"""A bench's own mark, put into a drawing that its whole class shares.

A class asks for a figure at the same moment; drawing it anew for every bench would keep the last one waiting.
So the drawing is made once, and each bench's beads in it, found by their names, are drawn over.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape
from typing import NamedTuple

from app.analysis.results import ClassResult
from app.figures.look import ROOMS, SIZES, Room, Size

BEAD, NUMBER = 0.36, 0.5
"""Half-widths of an own bead and of the numbered mark, as shares of a mark's width."""


class Spot(NamedTuple):
    """Where a run of the bench (or the bench itself) lies, and how it stands."""

    x: float
    y: float
    hollow: bool
    flagged: bool


def with_own_mark(drawing: bytes, bench: str, result: ClassResult, size: str, room: str) -> bytes:
    """The drawing with the bench's beads in ink and its number on the middle one.

    The same bytes where nothing of the bench is in it.
    """
    text = drawing.decode()
    spots = list(_spots(text, bench, result))
    if not spots:
        return drawing
    spots.sort(key=lambda spot: (spot.x, spot.y))
    drawn = "".join(_bead(spot, SIZES[size], ROOMS[room]) for spot in spots)
    middle = spots[len(spots) // 2]
    hollow, flagged = all(spot.hollow for spot in spots), any(spot.flagged for spot in spots)
    mark = _mark(middle._replace(hollow=hollow, flagged=flagged), bench, SIZES[size], ROOMS[room])
    head, _, tail = text.rpartition("</svg>")
    return f'{head}<g id="own-bench">{drawn}{mark}</g></svg>{tail}'.encode()


def _spots(text: str, bench: str, result: ClassResult) -> Iterable[Spot]:
    runs = {
        f"dot-{run.readings.bench}-{run.readings.run}": run
        for run in result.runs
        if run.readings.bench == bench
    }
    for part in re.finditer(
        r'<g id="([^"]+)">(?:(?!<g id=).)*?<use [^>]*?x="([^"]+)" y="([^"]+)"', text, re.DOTALL
    ):
        name, x, y = part[1], float(part[2]), float(part[3])
        if name in runs:
            yield Spot(x, y, runs[name].readings.set_aside, bool(runs[name].flags))
        elif name == f"bench-bead-{bench}":
            yield Spot(x, y, hollow=False, flagged=False)


def _bead(spot: Spot, size: Size, room: Room) -> str:
    fill = room.paper if spot.hollow else room.ink
    edge = room.flag if spot.flagged else room.ink if spot.hollow else room.paper
    return _circle(spot, BEAD * size.mark, fill, edge, size.line)


def _mark(spot: Spot, bench: str, size: Size, room: Room) -> str:
    fill, ink = (room.paper, room.ink) if spot.hollow else (room.ink, room.paper)
    radius, drawn = NUMBER * size.mark, ""
    if spot.flagged:
        drawn = _circle(spot, radius + 2 * size.line, room.paper, room.flag, 1.6 * size.line)
    drawn += _circle(spot, radius, fill, room.ink if spot.hollow else room.paper, size.line)
    letters = size.small * (1 if len(bench) < 3 else 2.1 / len(bench))
    face = f'font-family="system-ui, sans-serif" font-weight="600" font-size="{letters:g}" fill="{ink}"'
    place = f'x="{spot.x:g}" y="{spot.y:g}" dy=".35em" text-anchor="middle"'
    return f"{drawn}<text {place} {face}>{escape(bench)}</text>"


def _circle(spot: Spot, radius: float, fill: str, edge: str, width: float) -> str:
    return (
        f'<circle cx="{spot.x:g}" cy="{spot.y:g}" r="{radius:g}" fill="{fill}" stroke="{edge}" '
        f'stroke-width="{width:g}"/>'
    )
