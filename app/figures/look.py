"""Ink, paper and sizes: how a figure looks in a bright room, in a dark room and on a printed page."""

from __future__ import annotations

from dataclasses import dataclass

from app.inks import INK, INK_SOFT, RULE, SHEET


@dataclass(frozen=True)
class Room:
    """The inks for one kind of room: those of the page there (a rule in the dark is lighter, to be seen)."""

    paper: str
    ink: str
    soft: str
    rule: str
    band: str
    band_ink: str
    accepted: str
    flag: str


@dataclass(frozen=True)
class Size:
    """One size of drawing, in points; on a wall of 1280 by 720 pixels a point is a pixel."""

    width: float
    height: float
    text: float
    small: float
    mark: float
    line: float


ROOMS = {
    "bright": Room(SHEET, INK, INK_SOFT, RULE, "#cfdfe8", "#134b6b", "#a3341a", "#8a5300"),
    "dark": Room("#1c2229", "#f0ece0", "#b7b9b8", "#4a545f", "#1f3f52", "#a9d5ee", "#f0987f", "#f0bf6a"),
}
SIZES = {
    "wall": Size(width=840, height=525, text=30, small=27, mark=38, line=3),
    "wall-tall": Size(width=640, height=590, text=30, small=27, mark=38, line=3),
    "page": Size(width=500, height=312, text=10.5, small=9, mark=16, line=1.2),
}
