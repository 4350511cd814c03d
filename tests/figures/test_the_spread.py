"""The spread: every run at its value by its bench, a lane for each mass, the class value as a band."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.lines import Line2D
from matplotlib.text import Text

from app.figures import gallery
from tests.figures.artists import drawn
from tests.figures.classes import a_class, a_run, set_aside, worked_out
from tests.figures.test_what_is_plotted import CLASSES, words_of


@pytest.mark.parametrize("case", [case for case in CLASSES if case != "no runs"])
def test_the_spread_shows_every_run_at_its_value_by_its_bench(case: str) -> None:
    """As a numbered mark, or as a stroke above its bench's number."""
    result = worked_out(CLASSES[case])
    figure = gallery.build("spread", result, str)
    numbers, edge = drawn(figure, "number-"), drawn(figure, "edge-")
    runs = drawn(figure, "stroke-") | drawn(figure, "mark-")
    low, high = figure.axes[0].get_xlim()
    for run in result.runs:
        name = f"{run.readings.bench}-{run.readings.run}"
        number = numbers.get(name) or numbers[run.readings.bench]
        assert isinstance(number, Text)
        assert number.get_text() == run.readings.bench
        if name in edge:
            continue
        mark = runs[name]
        assert isinstance(mark, Line2D)
        assert np.asarray(mark.get_xdata())[0] == run.apparent_heat_capacity_J_per_kg_K
        assert low <= run.apparent_heat_capacity_J_per_kg_K <= high  # type: ignore[operator]


def test_each_mass_has_its_lane_from_the_lightest_above_with_its_own_middle() -> None:
    result = worked_out(a_class(12))
    figure = gallery.build("spread", result, str)
    middles = drawn(figure, "middle-")
    assert list(middles) == ["1000", "500", "250"], "drawn from below"
    for level in result.levels:
        middle = middles[f"{1000 * level.mass_kg:.0f}"]
        assert isinstance(middle, Line2D)
        assert set(np.asarray(middle.get_xdata())) == {level.apparent_heat_capacity_J_per_kg_K}
        low, high = np.asarray(middle.get_ydata())
        strokes = drawn(figure, "stroke-")
        own = [stroke for name, stroke in strokes.items() if name.split("-")[0] in level.benches]
        assert own
        for stroke in own:
            assert isinstance(stroke, Line2D)
            assert (
                low - 5
                <= min(np.asarray(stroke.get_ydata()))
                < max(np.asarray(stroke.get_ydata()))
                <= high + 5
            )
    said = {text.get_text() for text in words_of(figure)}
    assert {"250 g", "500 g", "1000 g"} <= said
    assert not drawn(gallery.build("spread", worked_out(CLASSES["one mass only"]), str), "middle-")


def test_a_set_aside_run_is_hollow_a_flagged_one_ringed_and_the_key_says_both_in_words() -> None:
    runs = a_class(3, masses=(0.5,))
    result = worked_out([set_aside(runs[0]), *runs[1:], a_run(9, warming=1.0)])
    figure = gallery.build("spread", result, str)
    marks = drawn(figure, "mark-")
    faces = {name: mark.get_markerfacecolor() for name, mark in marks.items()}  # type: ignore[attr-defined]
    assert faces["1-1"] != faces["1-2"] == faces["2-1"]
    assert set(drawn(figure, "ring-")) >= {"9-1"}
    said = {text.get_text() for text in words_of(figure)}
    assert {"set aside", "flagged: look again"} <= said


def test_a_run_ten_times_off_stands_at_the_edge_with_its_value_and_does_not_squash_the_rest() -> None:
    quiet = [run for run in a_class(11) if run.shot_mass_kg == 0.5]
    wild = a_run(12, inversions=500, warming=2.9)
    result = worked_out([*quiet, set_aside(wild)])
    figure = gallery.build("spread", result, str)
    low, high = figure.axes[0].get_xlim()
    assert high < 300
    (edge,) = drawn(figure, "edge-").values()
    assert edge.get_text() == "1560 →"  # type: ignore[attr-defined]
    values = [run.apparent_heat_capacity_J_per_kg_K or 0 for run in result.runs if run.readings.bench != "12"]
    assert (max(values) - min(values)) / (high - low) > 0.5


def test_the_class_value_is_a_band_over_its_interval() -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    figure = gallery.build("spread", result, str)
    (band,) = drawn(figure, "class-band").values()
    box = band.get_window_extent().transformed(figure.axes[0].transData.inverted())
    assert (box.x0, box.x1) == pytest.approx(result.class_value.interval_95)
