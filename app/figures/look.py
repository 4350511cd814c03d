"""Inks and sizes: how a figure looks in a bright room, in a dark room, on a page and in print."""

from __future__ import annotations

from dataclasses import dataclass, replace

from app.look.tokens import (
    DARK,
    FIGURE_GLANCE_PT,
    FIGURE_PAGE_PT,
    FIGURE_PAGE_SIDES_PT,
    FIGURE_PHONE_PT,
    FIGURE_WALL_PT,
    LIGHT,
    PRINT_INKS,
    WALL_BRIGHT,
    WALL_DARK,
    Inks,
)

Room = Inks
LEAST_NUMBERED = 15
"""In marks: narrower figures have no room for a number on each of them (our own choice)."""


@dataclass(frozen=True)
class Size:
    """One size of drawing, in points, which are pixels on a wall of 1280 by 720 and on a phone 360 wide."""

    width: float
    height: float
    text: float
    small: float
    mark: float
    line: float

    @property
    def beads(self) -> bool:
        """Too small for numbers: each run is a bead, and whoever looks finds their own bench drawn over."""
        return self.width < LEAST_NUMBERED * self.mark


WALL_ROOMS = {"bright": WALL_BRIGHT, "dark": WALL_DARK}
PAGE_ROOMS = {
    "page": replace(LIGHT, paper=LIGHT.sheet),
    "page-dark": replace(DARK, paper=DARK.sheet),
    "print": PRINT_INKS,
}
PHONE_ROOMS = {"phone": LIGHT, "phone-dark": DARK}
ROOMS = WALL_ROOMS | PAGE_ROOMS | PHONE_ROOMS
SIZES = {
    "wall": Size(width=840, height=525, **FIGURE_WALL_PT),
    "wall-low": Size(width=840, height=470, **FIGURE_WALL_PT),
    "wall-asked": Size(width=840, height=410, **FIGURE_WALL_PT),
    "wall-tall": Size(width=640, height=590, **FIGURE_WALL_PT),
    "page": Size(*FIGURE_PAGE_SIDES_PT, **FIGURE_PAGE_PT),
    "phone": Size(width=328, height=300, **FIGURE_PHONE_PT),
}
"""Of a class's figures."""
DEPARTMENT_SIZES = {
    "years": Size(width=640, height=260, **FIGURE_PAGE_PT),
    "glance": Size(width=220, height=96, **FIGURE_GLANCE_PT),
}
"""Of the department's, which are drawn for a phone as well."""
EVERY_SIZE = SIZES | DEPARTMENT_SIZES
