"""Figures are checked by what they plot and what they say, not by their pixels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import hypot

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from app.figures import gallery
from app.figures.look import SIZES
from app.figures.view import view_of
from tests.figures.artists import centre, drawn
from tests.figures.classes import SETTINGS, a_class, a_run, set_aside, worked_out

CLASSES = {
    "four benches": a_class(4),
    "twelve benches": a_class(12),
    "thirty-two benches": a_class(32),
    "ties": a_class(24, 3, step=0.5, scatter=0.05),
    "one run": [a_run(3)],
    "no warming": [*a_class(8), a_run(9, warming=-0.2), a_run(10, warming=0.0)],
    "ten times off": [
        *a_class(11),
        a_run(12, inversions=500, warming=2.9),
        a_run(13, mass=0.05, warming=3.0),
    ],
    "one mass only": a_class(12, masses=(0.5,), same_inversions=True),
    "some set aside": [set_aside(run) if i in (3, 7) else run for i, run in enumerate(a_class(12))],
    "no runs": [],
}
FIGURES = sorted(gallery.DRAWERS)


def _words(figure: Figure) -> Iterator[Text]:
    for text in figure.findobj(Text):
        if text.get_text() and text.get_visible() and _is_on_an_axis_in_view(text):
            yield text


def _is_on_an_axis_in_view(text: Text) -> bool:
    """Tick labels that lie outside the view are kept by the library, not drawn."""
    return text.get_window_extent().width > 0


@pytest.mark.parametrize("name", FIGURES)
@pytest.mark.parametrize("case", CLASSES)
def test_every_figure_of_every_class_fits_its_sheet_and_reads_from_the_back(name: str, case: str) -> None:
    """18 points on a wall 720 high: from six wall heights away a capital spans 10 minutes of arc.

    That is twice the letter of a 6/6 sight chart (5 minutes of arc; from memory). The farthest seat at six
    picture heights is common practice, no source.
    """
    figure = gallery.build(name, worked_out(CLASSES[case]), str)
    figure.draw_without_rendering()
    size = SIZES["wall"]
    for axes in figure.axes:
        assert 0 <= axes.get_position().x0 < axes.get_position().x1 <= 1
    box = figure.get_tightbbox(figure.canvas.get_renderer())  # type: ignore[attr-defined]
    assert box.x0 * 72 >= -1
    assert box.x1 * 72 <= size.width + 1
    assert box.y0 * 72 >= -1
    assert box.y1 * 72 <= size.height + 1
    for text in [*figure.texts, *(text for axes in figure.axes for text in axes.texts)]:
        words = text.get_window_extent()
        assert text.get_text() == "" or (words.x0 >= 0 and words.x1 <= size.width), text.get_text()
    assert min((float(text.get_fontsize()) for text in _words(figure)), default=18) >= 18


@pytest.mark.parametrize("case", [case for case in CLASSES if case != "no runs"])
def test_the_spread_shows_every_run_at_its_value_by_its_bench(case: str) -> None:
    result = worked_out(CLASSES[case])
    figure = gallery.build("spread", result, str)
    marks, numbers, edge = drawn(figure, "mark-"), drawn(figure, "number-"), drawn(figure, "edge-")
    for run in result.runs:
        name = f"{run.readings.bench}-{run.readings.run}"
        mark, number = marks[name], numbers[name]
        assert isinstance(mark, Line2D)
        assert isinstance(number, Text)
        assert number.get_text() == run.readings.bench
        if name in edge:
            continue
        assert np.asarray(mark.get_xdata())[0] == run.apparent_heat_capacity_J_per_kg_K
        low, high = figure.axes[0].get_xlim()
        assert low <= run.apparent_heat_capacity_J_per_kg_K <= high  # type: ignore[operator]


@pytest.mark.parametrize(
    "case", ["four benches", "twelve benches", "thirty-two benches", "ties", "ten times off"]
)
def test_no_mark_of_the_spread_hides_another(case: str) -> None:
    figure = gallery.build("spread", worked_out(CLASSES[case]), str)
    figure.draw_without_rendering()
    marks = [mark for mark in drawn(figure, "mark-").values() if isinstance(mark, Line2D)]
    centres = [centre(mark) for mark in marks]
    width = min(mark.get_markersize() for mark in marks)
    for (x1, y1), (x2, y2) in combinations(centres, 2):
        assert hypot(x1 - x2, y1 - y2) >= width


def test_a_set_aside_run_is_hollow_a_flagged_one_ringed_and_the_key_says_both_in_words() -> None:
    runs = a_class(6)
    result = worked_out([set_aside(runs[0]), *runs[1:], a_run(9, warming=1.0)])
    figure = gallery.build("spread", result, str)
    marks = drawn(figure, "mark-")
    faces = {name: mark.get_markerfacecolor() for name, mark in marks.items()}  # type: ignore[attr-defined]
    assert faces["1-1"] != faces["1-2"] == faces["2-1"]
    assert set(drawn(figure, "ring-")) >= {"9-1"}
    said = {text.get_text() for text in _words(figure)}
    assert {"set aside by the teacher", "flagged: look again"} <= said


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


def test_the_line_goes_through_the_origin_with_the_fitted_slope_and_dots_lie_at_their_runs() -> None:
    result = worked_out(a_class(12))
    assert result.line is not None
    figure = gallery.build("line", result, str)
    (line,) = drawn(figure, "fitted-line").values()
    assert isinstance(line, Line2D)
    (x0, x1), (y0, y1) = np.asarray(line.get_data())
    assert (x0, y0) == (0, 0)
    assert y1 / x1 == pytest.approx(result.line.slope_K_kg_per_J * 1000)
    dots = drawn(figure, "dot-")
    for run in result.runs:
        dot = dots[f"{run.readings.bench}-{run.readings.run}"]
        assert isinstance(dot, Line2D)
        assert tuple(np.asarray(dot.get_xydata())[0]) == (run.specific_energy_J_per_kg / 1000, run.warming_K)


def test_the_robust_line_is_drawn_only_where_single_runs_pull_the_fitted_one() -> None:
    result = worked_out(a_class(12))
    assert result.line is not None
    assert not drawn(gallery.build("line", result, str), "robust-line")
    pulled = replace(result, line=replace(result.line, robust_slope_K_kg_per_J=1 / 150))
    (line,) = drawn(gallery.build("line", pulled, str), "robust-line").values()
    (_, x), (_, y) = np.asarray(line.get_data())  # type: ignore[attr-defined]
    assert y / x == pytest.approx(1000 / 150)


def test_a_run_that_cooled_lies_below_zero_on_the_line_and_in_a_lane_without_value_on_the_spread() -> None:
    result = worked_out(CLASSES["no warming"])
    line = gallery.build("line", result, str)
    assert drawn(line, "dot-")["9-1"].get_ydata()[0] == pytest.approx(-0.2)  # type: ignore[attr-defined]
    assert line.axes[0].get_ylim()[0] < -0.2
    spread = gallery.build("spread", result, str)
    assert drawn(spread, "edge-")["9-1"].get_text() == "−0.2 K"  # type: ignore[attr-defined]
    assert "no value" in {text.get_text() for text in _words(spread)}


def test_percent_error_shows_the_accepted_value_as_one_line_and_both_scales_agree() -> None:
    result = worked_out(a_class(12))
    figure = gallery.build("accepted", result, str)
    figure.draw_without_rendering()
    (line,) = drawn(figure, "accepted-line").values()
    assert set(line.get_xdata()) == {SETTINGS.accepted_J_per_kg_K}  # type: ignore[attr-defined]
    above = figure.axes[0].child_axes[0]
    low, high = figure.axes[0].get_xlim()
    expected = [(c / SETTINGS.accepted_J_per_kg_K - 1) * 100 for c in (low, high)]
    assert list(above.get_xlim()) == pytest.approx(expected)


def test_the_separated_value_stands_on_the_axis_with_its_interval() -> None:
    result = worked_out(a_class(12))
    figure = gallery.build("separated", result, str)
    value, interval = drawn(figure, "separated-value")[""], drawn(figure, "separated-interval")[""]
    assert tuple(value.get_xydata()[0]) == (0, 131.0)  # type: ignore[attr-defined]
    assert list(interval.get_ydata()) == [122.0, 141.0]  # type: ignore[attr-defined]
    (line,) = drawn(figure, "separated-line").values()
    (x0, x1), (y0, y1) = np.asarray(line.get_data())  # type: ignore[attr-defined]
    assert (y1 - y0) / (x1 - x0) == pytest.approx(result.separated.heat_sink_J_per_K)


def test_where_the_heat_sink_cannot_be_told_apart_the_figure_draws_no_line() -> None:
    result = worked_out(CLASSES["one mass only"])
    assert not drawn(gallery.build("separated", result, str), "separated-line")
    assert "same mass" in " ".join(text.get_text() for text in _words(gallery.build("ledger", result, str)))


def test_the_ledger_draws_each_share_to_scale() -> None:
    figure = gallery.build("ledger", worked_out(a_class(12)), str)
    bars = drawn(figure, "bar-")
    assert {name: bar.get_width() for name, bar in bars.items()} == {  # type: ignore[attr-defined]
        "all": 1.0,
        "shot": 0.78,
        "heat-sink": 0.19,
        "unaccounted": 0.03,
    }


@pytest.mark.parametrize(
    ("middle", "interval"), [(223.4, (195.2, 261.1)), (150.0, (140.0, 160.0)), (310.0, (290.0, 330.0))]
)
def test_no_percent_error_runs_over_the_figures_edge(middle: float, interval: tuple[float, float]) -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(result.class_value, apparent_heat_capacity_J_per_kg_K=middle, interval_95=interval)
    figure = gallery.build("accepted", replace(result, class_value=value), str)
    figure.canvas.draw()
    above = figure.axes[0].child_axes[0]
    low, most = above.get_xlim()
    labelled = zip(above.get_xticks(), above.get_xticklabels(), strict=True)
    errors = [text for place, text in labelled if low <= place <= most]
    assert len(errors) >= 2
    for text in errors:
        box = text.get_window_extent()
        assert figure.bbox.x0 <= box.x0, text.get_text()
        assert box.x1 <= figure.bbox.x1, text.get_text()


@pytest.mark.parametrize("name", ["spread", "line"])
def test_figures_before_the_reveal_hold_no_trace_of_the_accepted_value(name: str) -> None:
    result = worked_out(a_class(12))
    figure = gallery.build(name, result, str)
    assert not drawn(figure, "accepted")
    assert "127" not in "".join(text.get_text() for text in _words(figure))


@pytest.mark.parametrize(
    ("name", "across", "up"),
    [
        ("spread", "apparent specific heat capacity / J/(kg·K)", ""),
        ("line", "fall energy per kilogram of shot / kJ/kg", "warming / K"),
        ("separated", "1 / mass of shot / kg⁻¹", "apparent specific heat capacity / J/(kg·K)"),
        ("accepted", "apparent specific heat capacity / J/(kg·K)", ""),
    ],
)
def test_every_scale_says_its_quantity_and_unit(name: str, across: str, up: str) -> None:
    axes = gallery.build(name, worked_out(a_class(12)), str).axes[0]
    assert (axes.get_xlabel(), axes.get_ylabel()) == (across, up)


def test_an_empty_view_and_identical_values_still_have_a_width() -> None:
    assert view_of([]).low < view_of([]).high
    view = view_of([161.0, 161.0, 161.0])
    assert view.low < 161.0 < view.high
