"""The figures by name: built, and written as SVG or PNG."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.font_manager import fontManager

from app.analysis.results import ClassResult
from app.figures import accepted, at_a_glance, ledger, line, over_years, separated, spread
from app.figures.look import EVERY_SIZE, ROOMS
from app.figures.of_department import Glance, OverYears
from app.figures.sheet import Sheet
from app.look.faces import ARABIC, FACES, OTHER_SIGNS, TEXT
from app.words import Say

DRAWERS: dict[str, Callable[[Sheet, ClassResult], Figure]] = {
    "spread": spread.draw,
    "line": line.draw,
    "accepted": accepted.draw,
    "separated": separated.draw,
    "ledger": ledger.draw,
}
"""The figures of one class."""
OF_DEPARTMENT: dict[str, Callable[[Sheet, Any], Figure]] = {
    "at-a-glance": at_a_glance.draw,
    "over-years": over_years.draw,
}
"""Those of a department; each takes what its module says."""
ALL: dict[str, Callable[[Sheet, Any], Figure]] = {**DRAWERS, **OF_DEPARTMENT}
# Words go into the SVG as outlines: a projector's machine needs no font. Nothing typed is read as markup.
SETTINGS: Any = {
    "font.family": [TEXT, ARABIC, OTHER_SIGNS],
    "text.parse_math": False,
    "text.usetex": False,
    "axes.unicode_minus": True,
    "svg.fonttype": "path",
    "svg.hashsalt": "plumbfall",
}


for _face in FACES:
    fontManager.addfont(_face.ttf)
    if _face.weight == 600:  # what figures ask for as bold
        fontManager.ttflist.append(replace(fontManager.ttflist[-1], weight=700))


def build(
    name: str,
    result: ClassResult | Glance | OverYears,
    say: Say,
    *,
    size: str = "wall",
    room: str = "bright",
    right_to_left: bool = False,
    complete: bool = False,
) -> Figure:
    """One figure, not yet written. KeyError for an unknown name, size or room.

    `complete`: nothing is left to be revealed, so that it may show what a later step finds.
    """
    sheet = Sheet(EVERY_SIZE[size], ROOMS[room], say, right_to_left=right_to_left, complete=complete)
    with mpl.rc_context(SETTINGS):
        return ALL[name](sheet, result)


def write_svg(figure: Figure) -> bytes:
    """The figure as SVG: the same bytes for the same figure, with no date in it."""
    file = io.BytesIO()
    with mpl.rc_context(SETTINGS):
        figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None})
    return file.getvalue()


def write_png(figure: Figure, dots_per_inch: float) -> bytes:
    """The figure as PNG, for the printed report."""
    file = io.BytesIO()
    with mpl.rc_context(SETTINGS):
        figure.savefig(file, format="png", dpi=dots_per_inch, metadata={"Software": None})
    return file.getvalue()
