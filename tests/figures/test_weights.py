"""How heavy each part of a figure is drawn, in strokes of its size, and what lies over what."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.artist import Artist
from matplotlib.colors import same_color
from matplotlib.figure import Figure
from matplotlib.text import Text

from app.analysis.results import ClassResult
from app.figures import gallery
from app.figures.look import ROOMS, SIZES
from tests.figures.artists import drawn
from tests.figures.classes import a_class, a_run, set_aside, worked_out


@cache
def a_result() -> ClassResult:
    """With a run set aside, a flagged one, one off the scale, and a line that single runs pull."""
    runs = a_class(8)
    runs = [set_aside(runs[0]), *runs[1:], a_run(9, warming=1.0), a_run(10, inversions=500, warming=2.9)]
    result = worked_out(runs)
    assert result.line is not None
    return replace(result, line=replace(result.line, robust_slope_K_kg_per_J=1 / 150))


@cache
def built(name: str, size: str = "wall", room: str = "bright") -> Figure:
    return gallery.build(name, a_result(), str, size=size, room=room)


def part(figure: Figure, name: str) -> Artist:
    (found,) = [artist for gid, artist in drawn(figure, name).items() if gid == ""]
    return found


STROKES = [
    ("spread", "class-value", 1.0, "band_ink"),
    ("line", "fitted-line", 1.4, "band_ink"),
    ("line", "robust-line", 1.0, "band_ink"),
    ("accepted", "accepted-line", 2.0, "accepted"),
    ("accepted", "class-value", 2.0, "band_ink"),
    ("separated", "accepted-line", 1.4, "accepted"),
    ("separated", "separated-line", 1.4, "band_ink"),
    ("separated", "separated-interval", 4.0, "band_ink"),
]


@pytest.mark.parametrize("size", ["wall", "page"])
@pytest.mark.parametrize(("name", "of", "strokes", "ink"), STROKES)
def test_a_line_is_as_heavy_as_what_it_says(name: str, of: str, strokes: float, ink: str, size: str) -> None:
    """What the board is about, the class value and the accepted value, is drawn heaviest."""
    line = part(built(name, size), of)
    assert line.get_linewidth() == pytest.approx(strokes * SIZES[size].line)  # type: ignore[attr-defined]
    assert same_color(line.get_color(), getattr(ROOMS["bright"], ink))  # type: ignore[attr-defined]


@pytest.mark.parametrize("size", ["wall", "page"])
def test_marks_rings_and_dots_keep_their_proportions(size: str) -> None:
    mark, line = SIZES[size].mark, SIZES[size].line
    separated, along = built("separated", size), built("line", size)

    def wide(figure: Figure, name: str) -> float:
        return float(part(figure, name).get_markersize())  # type: ignore[attr-defined]

    def edged(figure: Figure, name: str) -> float:
        return float(part(figure, name).get_markeredgewidth())  # type: ignore[attr-defined]

    assert wide(along, "mark-2") == pytest.approx(mark - line)
    assert wide(along, "ring-9") == pytest.approx(mark + 4 * line)
    assert edged(along, "ring-9") == pytest.approx(1.6 * line)
    assert edged(along, "mark-2") == pytest.approx(line / 2)
    assert edged(built("spread", size), "mark-1-1") > 1.5 * edged(built("spread", size), "mark-2-1")
    assert wide(along, "dot-2-1") == pytest.approx(0.3 * mark)
    assert edged(along, "dot-2-1") == pytest.approx(0.5 * line)
    assert edged(along, "dot-9-1") == edged(along, "dot-1-1") == pytest.approx(1.2 * line)
    assert wide(separated, "separated-value") == pytest.approx(0.55 * mark)
    for figure in (separated, along):
        assert wide(figure, "mark-key-counted") == pytest.approx(0.6 * mark - line)


def test_a_number_fits_its_mark_however_many_digits_it_has() -> None:
    runs = [a_run(name) for name in ("7", "42", "113", "bench")]
    numbers = drawn(gallery.build("line", worked_out(runs), str), "number-")
    sizes = {name: number.get_fontsize() for name, number in numbers.items()}  # type: ignore[attr-defined]
    assert sizes["7"] == sizes["42"] == 18
    assert sizes["113"] == pytest.approx(18 * 2.1 / 3)
    assert sizes["bench"] == pytest.approx(18 * 2.1 / 5)
    for number in numbers.values():
        assert number.get_window_extent().width < SIZES["wall"].mark


OVER = {
    "spread": ("class-band", "class-value", "mark-2-1"),
    "line": ("fitted-line", "dot-2-1", "mark-2"),
    "accepted": ("class-band", "class-value", "accepted-line"),
    "separated": ("accepted-line", "separated-line", "separated-interval", "separated-value"),
}


@pytest.mark.parametrize("name", OVER)
def test_what_matters_more_lies_over_what_matters_less(name: str) -> None:
    orders = [part(built(name), of).get_zorder() for of in OVER[name]]
    assert orders == sorted(orders)
    assert len(set(orders)) == len(orders)


@pytest.mark.parametrize("size", ["wall", "page"])
@pytest.mark.parametrize("name", ["spread", "line", "accepted", "separated"])
def test_quantities_are_in_the_text_s_size_and_numbers_of_scales_in_the_small_one(
    name: str, size: str
) -> None:
    figure = built(name, size)
    text, small = SIZES[size].text, SIZES[size].small
    figure.draw_without_rendering()
    scales = [axis for axes in figure.axes for axis in (axes.xaxis, axes.yaxis) if axis.get_label_text()]
    scales += [axes.xaxis for whole in figure.axes for axes in whole.child_axes]
    assert scales
    for scale in scales:
        assert scale.label.get_fontsize() == text
        assert {label.get_fontsize() for label in scale.get_ticklabels()} == {small}
        assert 3 <= len([label for label in scale.get_ticklabels() if label.get_text()]) <= 9


@pytest.mark.parametrize(
    ("name", "words", "times"),
    [
        ("spread", "class value", 1.0),
        ("line", "fitted line", 1.0),
        ("line", "robust line", 1.0),
        ("accepted", "class value", 1.2),
        ("accepted", "accepted 127", 1.2),
        ("separated", "accepted 127", 1.0),
        ("ledger", "warmed the shot", 1.0),
        ("ledger", "78 %", 1.1),
    ],
)
def test_words_beside_a_line_are_in_the_size_of_what_they_say(name: str, words: str, times: float) -> None:
    found = [text for text in built(name).findobj(Text) if words in text.get_text()]
    assert [text.get_fontsize() for text in found] == [pytest.approx(times * SIZES["wall"].text)]


def test_the_ledger_s_bars_start_at_zero_one_below_the_other_with_their_uncertainty() -> None:
    figure = built("ledger")
    bars = [part(figure, f"bar-{name}") for name in ("all", "shot", "heat-sink", "unaccounted")]
    assert [bar.get_x() for bar in bars] == [0.0] * 4  # type: ignore[attr-defined]
    middles = [bar.get_y() + bar.get_height() / 2 for bar in bars]  # type: ignore[attr-defined]
    assert [below - above for above, below in pairwise(middles)] == pytest.approx([1.0] * 3)
    assert [bar.get_height() for bar in bars] == pytest.approx([0.36] * 4)  # type: ignore[attr-defined]
    axes = figure.axes[0]
    reached = [
        np.asarray(path.vertices)[:, 0].tolist()
        for shown in axes.collections
        for path in shown.get_paths()
        if len(path) == 2
    ]
    assert [tuple(round(float(end), 3) for end in ends) for ends in reached] == [
        (0.75, 0.81),
        (0.17, 0.21),
        (-0.006, 0.066),
    ], "0.78 ± 0.03, 0.19 ± 0.02, 0.03 ± 0.036"
    low, high = axes.get_xlim()
    assert (low, high) == pytest.approx((-0.006, 1.0))


@pytest.mark.parametrize(("share", "low", "high"), [(-9.0, -1.5, 1.0), (9.0, 0.0, 2.5)])
def test_a_wild_share_does_not_squash_the_others(share: float, low: float, high: float) -> None:
    result = worked_out(a_class(8))
    assert result.ledger is not None
    wild = replace(result, ledger=result.ledger._replace(unaccounted=share, u_unaccounted=0.01))
    figure = gallery.build("ledger", wild, str)
    assert figure.axes[0].get_xlim() == pytest.approx((low, high))
    bar = part(figure, "bar-unaccounted")
    ends = sorted((bar.get_x(), bar.get_x() + bar.get_width()))  # type: ignore[attr-defined]
    assert ends == pytest.approx(sorted((0.0, low if share < 0 else high)))


def test_the_line_begins_at_the_origin_and_ends_at_the_edge_of_the_figure() -> None:
    figure = built("line")
    axes = figure.axes[0]
    assert axes.get_xlim()[0] == axes.get_ylim()[0] == 0.0
    for name in ("fitted-line", "robust-line"):
        (_, x), (_, y) = part(figure, name).get_data()  # type: ignore[attr-defined]
        assert x == pytest.approx(axes.get_xlim()[1]) or y == pytest.approx(axes.get_ylim()[1])


def test_words_stand_beside_their_lines_on_the_side_that_has_room() -> None:
    for middle, beyond in ((150.0, True), (110.0, False)):
        result = a_result()
        assert result.class_value is not None
        value = replace(
            result.class_value, apparent_heat_capacity_J_per_kg_K=middle, interval_95=(middle - 2, middle + 2)
        )
        figure = gallery.build("accepted", replace(result, class_value=value), str)
        words = {text.get_text()[:11]: text for text in figure.axes[0].texts}
        assert (words["class value"].get_horizontalalignment() == "left") is beyond
        assert (words["accepted 12"].get_horizontalalignment() == "left") is beyond, "towards the middle"
