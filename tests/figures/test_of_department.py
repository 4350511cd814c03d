"""What the department's drawings plot, and that their words stay inside and apart."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from app.analysis.figure import Figure
from app.analysis.over_years import chart_of
from app.figures import gallery
from app.figures.of_department import Glance, OverYears, description, finding, scale_of
from app.words import Message

LABEL = Message("Class value, J/(kg·K)")
GLANCE = Glance((10.0, 12.0, 90.0), (-60.0,), 20.0, (15.0, 25.0), (-25, 75))


def drawn(name: str, shown: Any, size: str) -> Any:
    """The figure, with every word in its place."""
    figure = gallery.build(name, shown, str, size=size, room="page")
    figure.draw_without_rendering()
    return figure


def named(figure: Any, start: str) -> list[Any]:
    """The marks whose names begin so."""
    return [one for one in figure.findobj() if str(one.get_gid() or "").startswith(start)]


def years(classes: int, outside: float | None = None, per_year: int = 7) -> OverYears:
    """So many classes about 160, a few each year, the last one perhaps elsewhere."""
    values = [160.0 + (-1) ** place * (place % 5) for place in range(classes)]
    if outside is not None:
        values[-1] = outside
    chart = chart_of([Figure(value, (value - 4, value + 4)) for value in values])
    names = tuple(f"{2020 + place // per_year}/{21 + place // per_year}" for place in range(classes))
    return OverYears(chart, LABEL, (128.0,) * classes, names, range(classes))


def test_a_scale_has_the_accepted_value_on_it_and_an_end() -> None:
    assert scale_of([]) == (-25, 25)
    assert scale_of([30.0, 51.0]) == (-25, 75)
    assert scale_of([-26.0, 9000.0]) == (-50, 200)


def test_a_class_at_a_glance_shows_each_run_and_what_lies_beyond_its_scale() -> None:
    figure = drawn("at-a-glance", GLANCE, "glance")
    runs = [mark for mark in named(figure, "run") if mark.get_gid() == "run"]
    (aside,) = named(figure, "run-aside")
    assert [float(mark.get_xdata()[0]) for mark in runs] == [10.0, 12.0, 75.0]
    assert [mark.get_marker() for mark in runs] == ["o", "o", ">"]
    assert (float(aside.get_xdata()[0]), aside.get_marker()) == (-25.0, "<")
    assert aside.get_markerfacecolor() != runs[0].get_markerfacecolor(), "hollow"
    (value,) = named(figure, "class-value")
    assert float(value.get_xdata()[0]) == 20.0
    (line,) = named(figure, "accepted-line")
    assert float(line.get_xdata()[0]) == 0.0


@pytest.mark.parametrize("scale", [(-25, 25), (-25, 75), (-25, 150), (-200, 25), (-200, 200)])
def test_the_words_of_a_small_scale_stand_apart(scale: tuple[int, int]) -> None:
    figure = drawn("at-a-glance", Glance((10.0,), (), None, None, scale), "glance")
    words = [text for text in figure.axes[0].get_xticklabels() if text.get_text()]
    boxes = sorted((text.get_window_extent().x0, text.get_window_extent().x1) for text in words)
    assert len(boxes) >= 2
    assert all(left[1] < right[0] for left, right in pairwise(boxes))


@pytest.mark.parametrize("size", ["years", "phone"])
@pytest.mark.parametrize("classes", [1, 3, 24, 60])
def test_the_names_of_the_years_stand_apart_and_inside(size: str, classes: int) -> None:
    figure = drawn("over-years", years(classes), size)
    boxes = sorted(
        (text.get_window_extent().x0, text.get_window_extent().x1)
        for text in figure.texts
        if "/" in text.get_text() and text.get_text()[:2] == "20"
    )
    assert boxes
    assert boxes[0][0] >= 0
    assert boxes[-1][1] <= figure.bbox.width
    assert all(left[1] < right[0] for left, right in pairwise(boxes))


def test_a_class_outside_is_ringed_and_said() -> None:
    shown = years(12, outside=230.0)
    figure = drawn("over-years", shown, "years")
    (ring,) = named(figure, "outside-")
    assert ring.get_gid() == "outside-11"
    assert len(named(figure, "class-")) == 12
    assert len(named(figure, "limit-")) == 24
    said = [str(sentence) for sentence in finding(shown)]
    assert said[0].startswith("Together, 12 practicals give")
    assert said[1].startswith("One class lies outside its limits")
    assert "Classes: 12." in str(description(shown))


def test_classes_outside_are_counted() -> None:
    values = [160.0 + (-1) ** place for place in range(14)] + [230.0, 90.0]
    chart = chart_of([Figure(value, (value - 4, value + 4)) for value in values])
    assert chart.outside == (14, 15)
    shown = OverYears(chart, LABEL, (128.0,) * 16, ("2030/31",) * 16, range(16))
    assert str(finding(shown)[1]) == "2 classes lie outside their limits: look at what was different."


def test_classes_in_a_row_on_one_side_are_said_from_eight_on() -> None:
    for row, said in (
        (7, []),
        (8, ["Eight classes or more in a row lie on one side of the pooled value: som"]),
    ):
        values = [164.0 - 8 * (place // row % 2) + (-1) ** place for place in range(2 * row)]
        chart = chart_of([Figure(value, (value - 4, value + 4)) for value in values])
        shown = OverYears(
            chart, LABEL, (128.0,) * len(values), ("2030/31",) * len(values), range(len(values))
        )
        assert [str(sentence)[:71] for sentence in finding(shown)[2:]] == said


def test_too_few_have_neither_band_nor_limits() -> None:
    shown = years(2)
    figure = drawn("over-years", shown, "years")
    assert named(figure, "limit-") == named(figure, "pooled-") == []
    assert [str(sentence)[:35] for sentence in finding(shown)] == ["Fewer than three practicals have a "]
    none = drawn("over-years", OverYears(chart_of([]), LABEL, (), (), range(0)), "years")
    assert "No finished practical" in none.texts[0].get_text().replace("\n", " ")
