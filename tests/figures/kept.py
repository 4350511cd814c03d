"""Where every part of a figure stands, kept as text (`tests/kept_text.py`).

    python -m tests.figures.kept

writes the files anew. Look at the figures, and at what `git diff` says, before you keep them.
"""

from __future__ import annotations

import re
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
from app.physics.materials import MATERIALS
from app.words import Message
from tests.figures.classes import SETTINGS, a_class, a_run, set_aside, worked_out
from tests.figures.test_languages import WILD
from tests.figures.test_of_department import GLANCE, years
from tests.kept_text import Drawings, keep

FOLDER = Path(__file__).parent / "kept"
RUNS = [*WILD, a_run(14, warming=1.0)]
TEN = [*a_class(9, 1, masses=(0.5,)), a_run(10, warming=2.0)]
ONE_MASS = [*a_class(5, masses=(0.5,)), a_run(6, warming=40.0), a_run(7, warming=-0.3)]


def _of_class(name: str, size: str, runs: ClassResult, right_to_left: bool = False) -> Callable[[], Figure]:
    return lambda: gallery.build(name, runs, str, size=size, right_to_left=right_to_left, complete=True)


def _in_long_words(name: str) -> Callable[[], Figure]:
    """As in a language whose words are longer: each begins twice."""
    runs = worked_out([*a_class(6), a_run(11, inversions=500, warming=2.9), set_aside(a_run(13))])

    def say(message: Message) -> str:
        longer = re.sub(r"(?<!\()\b([a-z]{2})([a-z]+)", r"\1\1\2", message.template)
        return str(Message(longer, message.values))

    return lambda: gallery.build(name, runs, say, size="wall-tall", complete=True)


def _of_department(name: str, shown: Glance | OverYears) -> Callable[[], Figure]:
    size = "glance" if isinstance(shown, Glance) else "years"
    return lambda: gallery.build(name, shown, str, size=size, room="page")


def _with_value(result: ClassResult, value: float, *interval: float) -> ClassResult:
    """The same class with this class value, and with this interval or none."""
    assert result.class_value is not None
    errors = tuple((one / SETTINGS.accepted_J_per_kg_K - 1) * 100 for one in (value, *interval))
    found = replace(
        result.class_value,
        apparent_heat_capacity_J_per_kg_K=value,
        interval_95=(interval[0], interval[1]) if interval else None,
        percent_error=errors[0],
        percent_error_interval=(errors[1], errors[2]) if interval else None,
    )
    return replace(result, class_value=found)


def _shared_out(shot: float, sink: float | None, rest: float) -> ClassResult:
    """A class whose ledger has these shares."""
    result = worked_out(a_class(6))
    assert result.ledger is not None
    shares = result.ledger._replace(shot=shot, heat_sink=sink, unaccounted=rest, u_shot=0.0)
    return replace(result, ledger=shares)


def _pulled() -> ClassResult:
    result = worked_out([*a_class(8, masses=(0.5,)), a_run(9, warming=-0.6)])
    assert result.line is not None
    return replace(result, line=replace(result.line, robust_slope_K_kg_per_J=1 / 150))


def _steel() -> ClassResult:
    """An alloy above the class, whose value is known to lie within a range."""
    steel = MATERIALS["steel"]
    settings = replace(
        SETTINGS,
        material="steel",
        accepted_J_per_kg_K=steel.accepted_J_per_kg_K,
        u_accepted_J_per_kg_K=steel.u_accepted_J_per_kg_K,
    )
    return worked_out(a_class(6), settings)


def _no_sink_told() -> ClassResult:
    """A shot alone above the accepted value, without an interval."""
    result = worked_out(a_class(6))
    found = replace(result.separated, heat_capacity_J_per_kg_K=140.0, interval_95=None)
    return replace(result, separated=found)


def _some_aside(benches: int, masses: tuple[float, ...]) -> ClassResult:
    """Three runs of each bench; of every fifth bench one run is set aside, of bench 5 all are."""
    runs = a_class(benches, 3, masses=masses, scatter=0.2)
    aside = [
        set_aside(run) if run.bench == "5" or (int(run.bench) % 5 == 0 and run.run == "2") else run
        for run in runs
    ]
    return worked_out([*aside, a_run(benches + 1, mass=masses[0], warming=1.7)])


OFF_BOTH_ENDS = _with_value(worked_out(a_class(6)), 140.0, 140.0 - 290, 140.0 + 290)
BELOW = _with_value(worked_out(a_class(6)), 105.0, 102.0, 108.0)
ABOVE = _with_value(worked_out(a_class(6)), 170.0, 160.0, 180.0)


def _alike(runs: int) -> Glance:
    return Glance((10.0,) * runs, (), 10.0, None, (-25, 25))


ON_THE_WORDS = a_run(7, mass=2.0, warming=3.8)
"""A run where the words of the shot alone stand."""
FAR_ABOVE = _with_value(worked_out(a_class(6)), 91400.0, -9000.0, 191800.0)
OTHERS: dict[str, tuple[str, str, ClassResult]] = {
    "spread-strokes": ("spread", "wall", _some_aside(20, (0.25, 0.5, 1.0))),
    "spread-strokes-of-many": ("spread", "wall-low", _some_aside(48, (0.5,))),
    "spread-off-both-ends": ("spread", "wall-asked", OFF_BOTH_ENDS),
    "spread-two-benches": ("spread", "phone", worked_out(a_class(2))),
    "spread-numbered": ("spread", "wall", worked_out(TEN)),
    "spread-numbered-lanes": ("spread", "wall-tall", worked_out(a_class(9, 1))),
    "spread-no-value": ("spread", "wall-low", worked_out([a_run(1, warming=-0.2), a_run(2, warming=0.0)])),
    "accepted-off-both-ends": ("accepted", "wall-low", OFF_BOTH_ENDS),
    "accepted-two-benches": ("accepted", "wall-asked", worked_out(a_class(2))),
    "accepted-far-above-it": ("accepted", "wall-tall", FAR_ABOVE),
    "accepted-above-it": ("accepted", "wall-asked", ABOVE),
    "accepted-below-it": ("accepted", "wall-asked", BELOW),
    "accepted-alloy": ("accepted", "wall-tall", _steel()),
    "accepted-alloy-low": ("accepted", "wall-asked", _steel()),
    "line-pulled": ("line", "wall-asked", _pulled()),
    "line-page": ("line", "page", worked_out(a_class(24))),
    "separated-one-mass": ("separated", "wall-low", worked_out(ONE_MASS)),
    "separated-no-interval": ("separated", "wall-asked", _no_sink_told()),
    "separated-on-words": ("separated", "wall-low", worked_out([*a_class(6), ON_THE_WORDS])),
    "ledger-too-much": ("ledger", "wall-asked", _shared_out(2.9, 0.5, -2.4)),
    "ledger-no-sink": ("ledger", "wall-tall", _shared_out(0.9, None, 0.1)),
    "ledger-none": ("ledger", "page", worked_out(ONE_MASS)),
}
"""What those above do not show: the figure, its size, the class."""
FEW_YEARS = replace(years(2, per_year=1), places=range(2))
FULL = (10, 12, 16, 20)
"""So many runs alike fit a glance in beads of each size below the first."""
SPARSE = Glance((-30.0, 3.0, 3.0, 40.0), (3.0,), None, None, (-25, 25))
TWO_METALS = (128.0,) * 6 + (385.0,) * 4
YEARS = replace(years(10, outside=190.0, per_year=6), accepted=TWO_METALS, places=range(2, 10))
FIGURES: dict[str, Callable[[], Figure]] = {
    **{
        f"{name}-{size}": _of_class(name, size, worked_out(RUNS))
        for name in gallery.DRAWERS
        for size in ("wall", "phone")
    },
    **{f"{name}-in-long-words": _in_long_words(name) for name in gallery.DRAWERS},
    **{f"{name}-from-the-right": _of_class(name, "page", worked_out(RUNS), True) for name in gallery.DRAWERS},
    "accepted-many": _of_class("accepted", "wall", worked_out(a_class(32))),
    **{f"{name}-one-mass": _of_class(name, "wall-tall", worked_out(ONE_MASS)) for name in ("spread", "line")},
    "at-a-glance": _of_department("at-a-glance", GLANCE),
    **{f"at-a-glance-{runs}": _of_department("at-a-glance", _alike(runs)) for runs in FULL},
    "at-a-glance-no-value": _of_department("at-a-glance", SPARSE),
    "over-years": _of_department("over-years", YEARS),
    "over-years-too-few": _of_department("over-years", FEW_YEARS),
    **{name: _of_class(figure, size, result) for name, (figure, size, result) in OTHERS.items()},
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
