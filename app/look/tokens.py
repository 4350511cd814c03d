"""The colours, sizes and spaces of everything that is shown: each is declared here and nowhere else.

Sizes are in the unit of their medium: on phone and desk CSS pixels at a browser's usual letter size, on the
wall its base (`WALL_BASE`), in print points. Contrasts are held by `tests/look/test_contrast.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final


@dataclass(frozen=True)
class Inks:
    """The colours of one surface.

    `paper` is what everything lies on, `sheet` a part that is set off from it. `ink` writes, `soft` writes
    what comes second, `edge` draws what can be used, `rule` parts rows (decoration). `press` is what can be
    pressed, and the class value; `press_ink` writes on it; `band` is the class's interval. `accepted` is the
    accepted value and nothing else. `flag`, `bad` and `good` write on their own papers too.
    """

    paper: str
    sheet: str
    ink: str
    soft: str
    edge: str
    rule: str
    press: str
    press_ink: str
    band: str
    accepted: str
    flag: str
    flag_paper: str
    bad: str
    bad_paper: str
    good: str
    good_paper: str

    @property
    def value(self) -> str:
        """The class value's ink, and that of the edges of its band."""
        return self.press


LIGHT = Inks(
    paper="#f8f5ec",
    sheet="#fffdf7",
    ink="#1b222b",
    soft="#4b5561",
    edge="#857d6a",
    rule="#cfc8b6",
    press="#134b6b",
    press_ink="#fffdf7",
    band="#cfdfe8",
    accepted="#a3341a",
    flag="#8a5300",
    flag_paper="#fbeed2",
    bad="#9b1c1c",
    bad_paper="#fbe6e1",
    good="#1d5a38",
    good_paper="#e3f0e2",
)
DARK = Inks(
    paper="#14181d",
    sheet="#1c2229",
    ink="#f0ece0",
    soft="#b7b9b8",
    edge="#828c95",
    rule="#3b444e",
    press="#a9d5ee",
    press_ink="#10202b",
    band="#1f3f52",
    accepted="#f0987f",
    flag="#f0bf6a",
    flag_paper="#3a2e16",
    bad="#ffaea3",
    bad_paper="#45211d",
    good="#a3d9b3",
    good_paper="#1d3526",
)
WALL_BRIGHT = Inks(
    paper="#fffdf7",
    sheet="#fffdf7",
    ink="#141a21",
    soft="#3d4650",
    edge="#6f6857",
    rule="#cfc8b6",
    press="#0f3f5c",
    press_ink="#fffdf7",
    band="#a9c8da",
    accepted="#98290f",
    flag="#7a4700",
    flag_paper="#fbeed2",
    bad="#8c1515",
    bad_paper="#fbe6e1",
    good="#1d5a38",
    good_paper="#e3f0e2",
)
WALL_DARK = Inks(
    paper="#10141a",
    sheet="#10141a",
    ink="#f4f0e4",
    soft="#c9cbc9",
    edge="#8f99a3",
    rule="#4a545f",
    press="#b4dcf2",
    press_ink="#10202b",
    band="#2c5a74",
    accepted="#ff9e84",
    flag="#f5c56f",
    flag_paper="#3a2e16",
    bad="#ffb3a8",
    bad_paper="#45211d",
    good="#a3d9b3",
    good_paper="#1d3526",
)
WHITE, BLACK = "#ffffff", "#000000"
"""Printed paper, and the two colours of a QR code to be scanned (ISO/IEC 18004)."""

SPACES_PX: Final = (4, 8, 12, 16, 24, 32, 48)
"""Between things, on phone and desk."""
WALL_SPACES: Final = {4: 0.2, 8: 0.2, 12: 0.4, 16: 0.4, 24: 0.8, 32: 0.8, 48: 0.8}
"""The same names on the wall, in its base: three spaces are enough there."""

TARGET_PX, RADIUS_PX = 44, 3
"""The least that a finger hits (WCAG 2.2, 2.5.5), and how round an edge is."""

PHONE_PX: Final = {"hint": 15, "text": 17, "table": 17, "say": 20, "heading": 24, "title": 24, "reading": 26}
DESK_PX: Final = {"hint": 15, "text": 17, "table": 16, "say": 20, "heading": 24, "title": 30}
PHONE_FLUID: Final = {"count": "clamp(3.5rem, min(34vw, 25vh), 11rem)"}
DESK_FLUID: Final = {
    "code": "clamp(2.4rem, 6vw, 3.6rem)",
    "code-large": "clamp(2.6rem, min(7.2vw, 13vh), 9rem)",
    "address-large": "clamp(1.2rem, min(2.2vw, 4vh), 2.4rem)",
}
"""Sizes that follow the window: a count read across a bench, a code read across a room."""
WALL_BASE: Final = "max(1rem, min(3.62vh, 2.035vw))"
"""Capitals of 12 minutes of arc at 8 m from a picture 2 m wide, whose width is what is fixed in metres."""
WALL: Final = {
    "control": 0.66,
    "hint": 0.74,
    "title": 1.0,
    "text": 1.0,
    "table": 1.0,
    "say": 1.0,
    "heading": 1.0,
    "finding": 1.36,
    "mark": 1.6,
    "mark-large": 1.9,
    "code": 2.6,
}
LINE: Final = {"text": 1.5, "table": 1.35, "head": 1.15}
LINE_ARABIC: Final = {"text": 1.7, "table": 1.7, "head": 1.35}
"""Line heights, in the size of their letters."""

PRINT_PT: Final = {
    "floor": 8.0,
    "table": 8.5,
    "report": 9.5,
    "step": 11.0,
    "h2": 13.0,
    "h1": 20.0,
    "mark": 26.0,
}
"""Nothing printed is smaller than the floor."""
PRINT_SPACES_MM: Final = (1, 3, 6)
PRINT_MARGIN_MM = 12.0
FIGURE_WALL_PT: Final = {"text": 31.0, "small": 29.0, "mark": 38.0, "line": 3.0}
FIGURE_PAGE_PT: Final = {"text": 8.5, "small": 8.0, "mark": 14.0, "line": 1.0}
FIGURE_PHONE_PT: Final = {"text": 16.0, "small": 15.0, "mark": 24.0, "line": 1.6}
FIGURE_GLANCE_PT: Final = {"text": 13.0, "small": 12.0, "mark": 14.0, "line": 1.2}
"""Words and axis labels, ticks and numbers in marks, marks, and rules of a figure 840 pt wide (640 where it
is nearly as high as wide), of one of 318 pt (three fifths of a printed line), of one of 328, and of
a small multiple of 220."""
FIGURE_PAGE_SIDES_PT: Final = (318, 190)
FIGURE_PAGE_MM = 112.2
"""The width on paper: as it is drawn, so that its words have the size they were given."""
PRINT_INKS = replace(
    LIGHT, paper=WHITE, sheet=WHITE, press_ink=WHITE, flag_paper=WHITE, bad_paper=WHITE, good_paper=WHITE
)
"""White paper, and no tint on it but the class's band."""
