"""Where every part of a figure stands, kept as text (`tests/kept_text.py`).

    python -m tests.figures.kept

writes the files anew. Look at the figures, and at what `git diff` says, before you keep them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from matplotlib.artist import Artist
from matplotlib.collections import Collection
from matplotlib.colors import to_hex, to_rgba_array
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.text import Text
from matplotlib.transforms import BboxBase

from app.analysis.results import ClassResult
from app.figures import gallery
from app.figures.of_department import Glance, OverYears
from tests.figures.classes import a_class, a_run, worked_out
from tests.figures.test_languages import WILD
from tests.figures.test_of_department import GLANCE, years
from tests.kept_text import Drawings, keep

FOLDER = Path(__file__).parent / "kept"
RUNS = [*WILD, a_run(14, warming=1.0)]
ONE_MASS = [*a_class(5, masses=(0.5,)), a_run(6, warming=40.0), a_run(7, warming=-0.3)]


def _of_class(name: str, size: str, runs: ClassResult, right_to_left: bool = False) -> Callable[[], Figure]:
    return lambda: gallery.build(name, runs, str, size=size, right_to_left=right_to_left, complete=True)


def _of_department(name: str, shown: Glance | OverYears) -> Callable[[], Figure]:
    size = "glance" if isinstance(shown, Glance) else "years"
    return lambda: gallery.build(name, shown, str, size=size, room="page")


TWO_METALS = (128.0,) * 6 + (385.0,) * 4
YEARS = replace(years(10, outside=190.0, per_year=6), accepted=TWO_METALS, places=range(2, 10))
FIGURES: dict[str, Callable[[], Figure]] = {
    **{
        f"{name}-{size}": _of_class(name, size, worked_out(RUNS))
        for name in gallery.DRAWERS
        for size in ("wall", "phone")
    },
    **{f"{name}-from-the-right": _of_class(name, "page", worked_out(RUNS), True) for name in gallery.DRAWERS},
    "accepted-many": _of_class("accepted", "wall", worked_out(a_class(32))),
    **{f"{name}-one-mass": _of_class(name, "wall-tall", worked_out(ONE_MASS)) for name in ("spread", "line")},
    "at-a-glance": _of_department("at-a-glance", GLANCE),
    "over-years": _of_department("over-years", YEARS),
}


def described(build: Callable[[], Figure]) -> list[str]:
    """A line for each part in view: what it is, its words or name, its box in points, its stroke and inks."""
    figure = build()
    figure.draw_without_rendering()
    return [_line(part, figure) for part in figure.findobj(_in_view)]


def _in_view(part: Artist) -> bool:
    """Whether it is drawn at all. What has no extent is neither a mark nor a word."""
    if not part.get_visible() or not isinstance(part, Line2D | Text | Patch | Collection):
        return False
    return not isinstance(part, Text) or bool(part.get_text())


def _line(part: Artist, figure: Figure) -> str:
    box, points = _box(part), 72 / figure.dpi
    name = repr(part.get_text()) if isinstance(part, Text) else str(part.get_gid() or "")
    at = " ".join(f"{value * points:.1f}" for value in box.extents)
    drawn = f"{_stroke(part)} {part.get_zorder():g} {_inks(part)}"
    return "\t".join((f"{type(part).__name__} {name}", at, drawn))


def _box(part: Artist) -> BboxBase:
    """Of a collection only its paths say where they are."""
    if isinstance(part, Collection):
        assert part.axes is not None
        to_display = part.axes.transData
        return part.get_datalim(to_display).transformed(to_display)
    return part.get_window_extent()


def _stroke(part: Artist) -> str:
    """In points: the size of words, the width of a line, the size of its mark."""
    if isinstance(part, Text):
        return f"{part.get_fontsize():.2f} {part.get_rotation():g}"
    if isinstance(part, Line2D):
        return f"{part.get_linewidth():.2f} {part.get_markersize():.2f} {part.get_markeredgewidth():.2f}"
    if isinstance(part, Patch):
        return f"{part.get_linewidth():.2f}"
    assert isinstance(part, Collection)
    return f"{np.atleast_1d(part.get_linewidth())[0]:.2f}"


def _inks(part: Artist) -> str:
    if isinstance(part, Text):
        return f"{to_hex(part.get_color(), True)} {part.get_fontweight()}"
    if isinstance(part, Line2D):
        inks = (part.get_color(), part.get_markerfacecolor(), part.get_markeredgecolor())
        return f"{part.get_linestyle()} {part.get_marker()} {' '.join(to_hex(ink, True) for ink in inks)}"
    if isinstance(part, Patch):
        return f"{to_hex(part.get_facecolor(), True)} {to_hex(part.get_edgecolor(), True)}"
    assert isinstance(part, Collection)
    return " ".join(to_hex(ink, True) for ink in to_rgba_array(part.get_edgecolor()))


DRAWINGS: Drawings = {name: partial(described, build) for name, build in FIGURES.items()}


if __name__ == "__main__":
    keep(FOLDER, DRAWINGS)
