"""Inks and sizes: how a figure looks in a bright room, in a dark room, on a page and in print."""

from __future__ import annotations

from dataclasses import dataclass, replace

from app.look.tokens import (
    DARK,
    FIGURE_PAGE_PT,
    FIGURE_WALL_PT,
    LIGHT,
    PRINT_INKS,
    WALL_BRIGHT,
    WALL_DARK,
    Inks,
)

Room = Inks


@dataclass(frozen=True)
class Size:
    """One size of drawing, in points; on a wall of 1280 by 720 pixels a point is a pixel."""

    width: float
    height: float
    text: float
    small: float
    mark: float
    line: float


WALL_ROOMS = {"bright": WALL_BRIGHT, "dark": WALL_DARK}
PAGE_ROOMS = {
    "page": replace(LIGHT, paper=LIGHT.sheet),
    "page-dark": replace(DARK, paper=DARK.sheet),
    "print": PRINT_INKS,
}
ROOMS = WALL_ROOMS | PAGE_ROOMS
SIZES = {
    "wall": Size(width=840, height=525, **FIGURE_WALL_PT),
    "wall-low": Size(width=840, height=470, **FIGURE_WALL_PT),
    "wall-asked": Size(width=840, height=410, **FIGURE_WALL_PT),
    "wall-tall": Size(width=640, height=590, **FIGURE_WALL_PT),
    "page": Size(width=318, height=190, **FIGURE_PAGE_PT),
}
