"""Marks lie over no others, numbers stand clear of their dots, and one wild value squashes nothing."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.collections import Collection

from app.analysis.readings import ClassSettings
from app.figures import gallery
from app.figures.callouts import places_level
from app.figures.look import SIZES
from app.figures.marks import PLAIN, in_rows, pile
from app.figures.view import View, view_of
from tests.figures.artists import centre, drawn
from tests.figures.classes import a_class, a_run, worked_out

Point = tuple[float, float]
WIDTH, DOT = 34.0, 6.0
AREA = ((15.0, 15.0), (700.0, 400.0))
WALL = SIZES["wall"]

points = st.tuples(st.integers(20, 690), st.integers(20, 390))


def apart(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


@given(st.lists(points, min_size=1, max_size=10))
def test_a_number_stands_level_with_its_dot_and_clear_of_all_dots_numbers_and_leads(
    anchors: list[Point],
) -> None:
    (left, bottom), (right, top) = AREA
    found = places_level(anchors, anchors, WIDTH, DOT, AREA)
    placed = [(anchor, place) for anchor, place in zip(anchors, found, strict=True) if place is not None]
    for (_, y), place in placed:
        assert place.y == place.lead.y == y
        assert left <= place.x <= right
        assert bottom <= place.y <= top
        assert all(apart((place.x, place.y), dot) >= (WIDTH + DOT) / 2 - 1e-9 for dot in anchors)
    for (_, one), (_, other) in combinations(placed, 2):
        assert apart((one.x, one.y), (other.x, other.y)) >= WIDTH - 1e-9
        for place, lead in ((one, other.lead), (other, one.lead)):
            low, high = sorted((lead.start, lead.end))
            nearest = min(max(place.x, low), high)
            assert apart((place.x, place.y), (nearest, lead.y)) >= WIDTH / 2 - 1e-6


def test_a_number_is_as_near_its_dot_as_can_be_to_the_right_before_the_left() -> None:
    near = (WIDTH + DOT) / 2
    (place,) = places_level([(100, 100)], [(100, 100)], WIDTH, DOT, AREA)
    assert place is not None
    assert (place.x, place.y) == (100 + near, 100)
    (place,) = places_level([(690, 100)], [(690, 100)], WIDTH, DOT, AREA)
    assert place is not None
    assert (place.x, place.y) == (690 - near, 100)


def test_a_number_keeps_off_boxes_and_is_left_out_where_there_is_no_room() -> None:
    (place,) = places_level([(100, 100)], [(100, 100)], WIDTH, DOT, AREA, [((110, 90), (400, 110))])
    assert place is not None
    assert place.x < 100
    assert places_level([(100, 100)], [(100, 100)], WIDTH, DOT, ((0, 0), (1, 1))) == [None]


def test_numbers_at_one_place_stand_like_shots_on_a_string() -> None:
    one, other, third = places_level([(300, 100)] * 3, [(300, 100)], WIDTH, DOT, AREA)
    assert one is not None
    assert other is not None
    assert third is not None
    assert one.x > 300 > other.x
    assert third.x >= one.x + WIDTH
    assert third.lead.start == pytest.approx(one.x + WIDTH / 2), "from the number before it"


def test_marks_stand_on_one_another_where_they_would_overlap() -> None:
    assert pile([5.0, 5.0, 5.0], 10.0) == [0, 10, 20]
    assert pile([6.0, 0.0], 10.0) == [pytest.approx(8), 0]  # 6² + 8² = 10²
    assert pile([0.0, 10.0, 20.0], 10.0) == [0] * 3
    assert pile([], 10.0) == []


@given(st.lists(st.integers(0, 200), min_size=1, max_size=25))
def test_no_two_marks_of_a_pile_overlap(places: list[float]) -> None:
    at = list(zip(places, pile(places, 10.0), strict=True))
    assert all(apart(one, other) >= 9.97 for one, other in combinations(at, 2))
    assert all(lift >= 0 for _, lift in at)


@given(st.lists(st.integers(0, 200), min_size=1, max_size=25), st.integers(1, 4))
def test_marks_in_rows_lie_apart_within_their_limits_and_in_order(places: list[int], rows: int) -> None:
    moves = in_rows([float(place) for place in places], 10.0, rows, (5.0, 195.0))
    if moves is None:
        assert -(-len(places) // rows) > 20, "190 is room for twenty marks of ten"
        return
    at = [(place + aside, down) for place, (aside, down) in zip(places, moves, strict=True)]
    assert all(apart(one, other) >= 10 - 1e-9 for one, other in combinations(at, 2))
    assert all(5 - 1e-9 <= x <= 195 + 1e-9 for x, _ in at)
    assert {down for _, down in at} <= {10.0 * row for row in range(rows)}


def test_marks_in_a_row_move_as_little_as_can_be() -> None:
    """Two at one place part by half a width each: the least squares of 2x² with the gap kept."""
    assert in_rows([50.0, 50.0], 10.0, 1, (0.0, 100.0)) == [(-5.0, 0.0), (5.0, 0.0)]
    assert in_rows([50.0, 50.0], 10.0, 2, (0.0, 100.0)) == [(0.0, 0.0), (0.0, 10.0)]
    assert in_rows([99.0, 99.0], 10.0, 1, (0.0, 100.0)) == [(-9.0, 0.0), (1.0, 0.0)]


def test_a_view_holds_the_body_and_leaves_a_wild_value_out() -> None:
    """Six scaled median deviations of 1, or a third of the median, whichever is wider."""
    narrow = [98.0, 99.0, 100.0, 101.0, 102.0]
    view = view_of([*narrow, 135.0])  # a third of 100.5
    assert [view.shows(value) for value in (98.0, 102.0, 135.0)] == [True, True, False]
    assert view_of([*narrow, 133.0]).shows(133.0)
    wide = [50.0, 80.0, 100.0, 120.0, 150.0]
    assert view_of([*wide, 420.0]).shows(420.0)  # with it the median is 110, the MAD 35: 6·35/0.6745 is 311
    assert not view_of([*wide, 422.0]).shows(422.0)
    assert view_of([1.0, 1.0], must_show=[500.0]).shows(500.0)


def test_the_ends_of_an_interval_widen_a_view_by_its_own_width_at_most() -> None:
    """Beyond that a margin of 6 % is left on either side."""
    high = view_of([100.0, 110.0], may_show=[500.0])
    assert (high.low, high.high) == (pytest.approx(98.8), pytest.approx(121.2))
    low = view_of([100.0, 110.0], may_show=[0.0])
    assert (low.low, low.high) == (pytest.approx(88.8), pytest.approx(111.2))
    inside = view_of([100.0, 110.0], may_show=[103.0, 112.0])
    assert (inside.low, inside.high) == (pytest.approx(99.28), pytest.approx(112.72))


def test_what_lies_beyond_a_view_is_held_at_its_edge() -> None:
    view = View(10.0, 20.0)
    assert [view.clamped(value) for value in (5.0, 15.0, 25.0)] == [10.0, 15.0, 20.0]
    assert [view.shows(value) for value in (9.9, 10.0, 20.0, 20.1)] == [False, True, True, False]


@pytest.mark.parametrize("name", ["line", "separated"])
def test_each_bench_has_its_number_beside_its_dots_and_covers_none(name: str) -> None:
    runs = a_class(12)
    figure = gallery.build(name, worked_out(runs), str)
    marks, dots = drawn(figure, "mark-"), drawn(figure, "dot-")
    numbers = {name: mark for name, mark in marks.items() if not name.startswith("key-")}
    assert set(numbers) == {run.bench for run in runs}
    assert set(dots) == {f"{run.bench}-{run.run}" for run in runs}
    for bench, number in numbers.items():
        for dot in dots.values():
            assert apart(centre(number), centre(dot)) >= WALL.mark / 2
        own = [dot for run, dot in dots.items() if run.startswith(f"{bench}-")]
        assert min(abs(centre(number)[1] - centre(dot)[1]) for dot in own) < 0.01, (
            "level with one of its dots"
        )
    for one, other in combinations(numbers.values(), 2):
        assert apart(centre(one), centre(other)) >= WALL.mark


def test_runs_off_the_scale_stand_one_above_the_other_beside_it() -> None:
    wild = [a_run(bench, inversions=500, warming=2.9) for bench in (21, 22, 23)]
    figure = gallery.build("spread", worked_out([*a_class(12), *wild]), str)
    axes = figure.axes[0].get_position()
    marks = drawn(figure, "mark-")
    places = [centre(marks[f"{run.bench}-{run.run}"]) for run in wild]
    assert len({x for x, _ in places}) == 1
    assert places[0][0] > axes.x1 * WALL.width
    heights = [y for _, y in places]
    assert heights[0] < axes.y1 * WALL.height
    assert heights[-1] > axes.y0 * WALL.height
    assert all(upper - lower >= WALL.mark for upper, lower in pairwise(heights))


@pytest.mark.parametrize("runs", [2, 12, 150])
def test_the_marks_of_equal_runs_stand_between_the_scale_and_the_class_value_s_words(runs: int) -> None:
    """Two are drawn larger, twelve are piled, and of a hundred and fifty each lies over the next."""
    figure = gallery.build("spread", worked_out([a_run(1, run=n + 1) for n in range(runs)]), str)
    axes = figure.axes[0].get_position()
    for mark in drawn(figure, "mark-").values():
        half = mark.get_markersize() / 2  # type: ignore[attr-defined]
        assert centre(mark)[1] - half >= axes.y0 * WALL.height
        assert centre(mark)[1] + half <= axes.y1 * WALL.height


def test_two_equal_runs_touch_as_large_marks_of_the_spread() -> None:
    runs = [a_run(1), a_run(2)]
    marks = drawn(gallery.build("spread", worked_out(runs), str), "mark-")
    (one, other) = (centre(mark) for mark in marks.values())
    assert one[0] == pytest.approx(other[0])
    assert apart(one, other) == pytest.approx(1.7 * WALL.mark + PLAIN * WALL.line)


@pytest.mark.parametrize("benches", [1, 3, 4, 5, 6, 7, 8, 9])
def test_the_beads_of_benches_that_all_agree_stay_below_the_words_of_the_accepted_value(
    benches: int,
) -> None:
    figure = gallery.build("accepted", worked_out([a_run(number) for number in range(1, benches + 1)]), str)
    box = figure.axes[0].get_window_extent()
    beads = figure.findobj(lambda artist: str(artist.get_gid()).startswith("bench-bead"))
    assert len(beads) == benches
    assert max(bead.get_window_extent().y1 for bead in beads) <= box.y0 + 0.42 * box.height


def test_the_percent_axis_has_three_to_six_round_errors_zero_among_them() -> None:
    for benches in (2, 3, 12):
        figure = gallery.build("accepted", worked_out(a_class(benches)), str)
        figure.canvas.draw()
        (above,) = figure.axes[0].child_axes
        low, high = sorted(above.get_xlim())
        shown = [value for value in above.get_xticks() if low <= value <= high]
        assert 3 <= len(shown) <= 6
        assert 0.0 in shown
        assert all(value % 2.5 == 0 for value in shown)


@pytest.mark.parametrize("interval", [None, (58.7, 69.9)])
def test_the_error_and_its_interval_stand_together_in_the_middle_side_by_side(
    interval: tuple[float, float] | None,
) -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(result.class_value, percent_error=64.2, percent_error_interval=interval)
    figure = gallery.build(
        "accepted", replace(result, class_value=value), lambda m: m.template % dict(m.values)
    )
    boxes = [words.get_window_extent() for words in drawn(figure, "percent-error").values()]
    boxes.sort(key=lambda box: float(box.x0))
    assert len(boxes) == (1 if interval is None else 2)
    assert boxes[0].x0 == pytest.approx(figure.bbox.width - boxes[-1].x1, abs=0.5 * WALL.text)
    assert all(0.2 * WALL.text < right.x0 - left.x1 < WALL.text for left, right in pairwise(boxes))


@pytest.mark.parametrize(("accepted", "beside"), [(172.0, False), (250.0, True)])
def test_on_a_low_wall_the_accepted_values_words_stand_beside_the_band_where_they_have_room(
    accepted: float, beside: bool
) -> None:
    """The class reads 162 to 168."""
    result = worked_out(a_class(12, masses=(0.5,)), ClassSettings(accepted, "made up for this test"))
    figure = gallery.build("accepted", result, str, size="wall-asked")
    figure.draw_without_rendering()
    axes = figure.axes[0]
    (words,) = [text for text in axes.texts if text.get_text().startswith("accepted")]
    box = words.get_window_extent()
    band = drawn(figure, "class-band")[""]
    assert isinstance(band, Collection)
    drawn_at = band.get_datalim(axes.transData).transformed(axes.transData)
    assert (box.y1 > drawn_at.y0) == beside
    assert not box.overlaps(drawn_at)
