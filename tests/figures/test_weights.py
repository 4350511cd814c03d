"""How heavy each part of a figure is drawn, in strokes of its size, and what lies over what."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from matplotlib.artist import Artist
from matplotlib.colors import same_color
from matplotlib.figure import Figure

from app.analysis.results import ClassResult
from app.figures import gallery
from app.figures.look import ROOMS, SIZES
from tests.figures.artists import drawn
from tests.figures.classes import a_class, a_run, set_aside, worked_out


@cache
def a_result(one_mass: bool) -> ClassResult:
    """With a run set aside, a flagged one, one off the scale, and a line that single runs pull."""
    runs = a_class(8, masses=(0.5,)) if one_mass else a_class(8)
    runs = [set_aside(runs[0]), *runs[1:], a_run(9, warming=1.0), a_run(10, inversions=500, warming=2.9)]
    result = worked_out(runs)
    assert result.line is not None
    return replace(result, line=replace(result.line, robust_slope_K_kg_per_J=1 / 150))


@cache
def built(name: str, size: str = "wall", one_mass: bool = False) -> Figure:
    return gallery.build(name, a_result(one_mass), str, size=size)


def part(figure: Figure, name: str) -> Artist:
    (found,) = [artist for gid, artist in drawn(figure, name).items() if gid == ""]
    return found


STROKES = [
    ("spread", "class-value", 1.0, "value", False),
    ("line", "fitted-line", 1.2, "value", True),
    ("line", "robust-line", 0.8, "value", True),
    ("accepted", "accepted-line", 2.0, "accepted", False),
    ("accepted", "class-value", 2.0, "value", False),
    ("separated", "accepted-line", 1.4, "accepted", False),
    ("separated", "separated-line", 1.4, "value", False),
    ("separated", "separated-interval", 4.0, "value", False),
]


@pytest.mark.parametrize("size", ["wall", "page"])
@pytest.mark.parametrize(("name", "of", "strokes", "ink", "one_mass"), STROKES)
def test_a_line_is_as_heavy_as_what_it_says(
    name: str, of: str, strokes: float, ink: str, one_mass: bool, size: str
) -> None:
    """What the board is about, the class value and the accepted value, is drawn heaviest."""
    line = part(built(name, size, one_mass), of)
    assert line.get_linewidth() == pytest.approx(strokes * SIZES[size].line)  # type: ignore[attr-defined]
    assert same_color(line.get_color(), getattr(ROOMS["bright"], ink))  # type: ignore[attr-defined]


@pytest.mark.parametrize("size", ["wall", "page"])
def test_beads_and_the_separated_value_keep_their_proportions(size: str) -> None:
    """A bead is 0.45 of a mark wide with its edge, whatever its state, and its edge is heavier where it is
    set aside or flagged."""
    figure, mark, line = built("line", size), SIZES[size].mark, SIZES[size].line
    for bead, edge in (("2-1", 0.4), ("1-1", 0.8), ("9-1", 0.8)):
        dot = part(figure, f"dot-{bead}")
        assert dot.get_markeredgewidth() == pytest.approx(edge * line)  # type: ignore[attr-defined]
        assert dot.get_markersize() == pytest.approx(0.45 * mark - edge * line)  # type: ignore[attr-defined]
    value = part(built("separated", size), "separated-value")
    assert value.get_markersize() == pytest.approx(0.55 * mark)  # type: ignore[attr-defined]


@pytest.mark.parametrize("shares", [{"7": 1.0, "42": 1.0}, {"113": 2.1 / 3, "bench": 2.1 / 5}])
def test_a_number_fits_its_mark_however_many_digits_it_has(shares: dict[str, float]) -> None:
    wild = [a_run(name, inversions=500, warming=2.9) for name in shares]
    figure = gallery.build("line", worked_out([*a_class(12), *wild]), str)
    numbers = {name.split("-")[0]: one for name, one in drawn(figure, "number-").items()}
    size = SIZES["wall"]
    for name, share in shares.items():
        assert numbers[name].get_fontsize() == pytest.approx(share * size.small)  # type: ignore[attr-defined]
        assert numbers[name].get_window_extent().width < size.mark


OVER = {
    "spread": ("class-band", "class-value"),
    "line": ("fitted-line", "dot-2-1"),
    "accepted": ("class-band", "class-value", "accepted-line"),
    "separated": ("accepted-line", "separated-line", "separated-interval", "separated-value"),
}


@pytest.mark.parametrize("name", OVER)
def test_what_matters_more_lies_over_what_matters_less(name: str) -> None:
    orders = [part(built(name, one_mass=name == "line"), of).get_zorder() for of in OVER[name]]
    assert all(below < above for below, above in pairwise(orders))


@pytest.mark.parametrize("size", ["wall", "page"])
@pytest.mark.parametrize("name", ["spread", "line", "accepted", "separated"])
def test_the_numbers_of_a_scale_are_few_and_small(name: str, size: str) -> None:
    figure = built(name, size)
    figure.draw_without_rendering()
    scales = [
        [label for label in axis.get_ticklabels() if label.get_text()]
        for axes in figure.axes
        for axis in (axes.xaxis, axes.yaxis)
    ]
    scales = [labels for labels in scales if labels]
    assert scales
    for labels in scales:
        assert {label.get_fontsize() for label in labels} == {SIZES[size].small}
        assert 3 <= len(labels) <= 9


def test_the_line_begins_at_the_origin_and_ends_at_the_edge_of_the_figure() -> None:
    figure = built("line", one_mass=True)
    axes = figure.axes[0]
    assert axes.get_xlim()[0] == axes.get_ylim()[0] == 0.0
    for name in ("fitted-line", "robust-line"):
        (_, x), (_, y) = part(figure, name).get_data()  # type: ignore[attr-defined]
        assert x == pytest.approx(axes.get_xlim()[1]) or y == pytest.approx(axes.get_ylim()[1])
