"""Figures are checked by what they plot and what they say, not by their pixels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from app.figures import gallery
from app.figures.look import SIZES
from app.figures.view import view_of
from tests.figures.artists import drawn
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


def words_of(figure: Figure) -> Iterator[Text]:
    for text in figure.findobj(Text):
        if text.get_text() and text.get_visible() and _is_on_an_axis_in_view(text):
            yield text


def _is_on_an_axis_in_view(text: Text) -> bool:
    """Tick labels that lie outside the view are kept by the library, not drawn."""
    return text.get_window_extent().width > 0


@pytest.mark.parametrize("name", FIGURES)
@pytest.mark.parametrize("case", CLASSES)
def test_every_figure_of_every_class_fits_its_sheet_and_reads_from_the_back(name: str, case: str) -> None:
    """27 points of a picture 1280 points and 2 m wide: at 8 m a capital, 0.72 of the size, spans 13 minutes.

    That is more than twice the letter of a 6/6 sight chart (5 minutes of arc; from memory). Room and picture
    are common practice, no source.
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
    assert min((float(text.get_fontsize()) for text in words_of(figure)), default=size.small) >= size.small


def test_the_line_goes_through_the_origin_with_the_fitted_slope_and_dots_lie_at_their_runs() -> None:
    result = worked_out(a_class(12, masses=(0.5,)))
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


def test_each_mass_has_its_line_through_the_origin_from_the_class_s_model() -> None:
    """w = e / (c + C/m): the slope is the inverse of the level's value."""
    result = worked_out(a_class(12))
    lines = drawn(gallery.build("line", result, str), "level-")
    assert set(lines) == {"250", "500", "1000"}
    for level in result.levels:
        (x0, x1), (y0, y1) = np.asarray(lines[f"{1000 * level.mass_kg:.0f}"].get_data())  # type: ignore[attr-defined]
        assert (x0, y0) == (0, 0)
        assert y1 / x1 == pytest.approx(1000 / level.apparent_heat_capacity_J_per_kg_K)


def test_the_line_of_the_shot_alone_is_drawn_only_where_nothing_is_left_to_reveal() -> None:
    result = worked_out(a_class(12))
    assert not drawn(gallery.build("line", result, str), "shot-alone-line")
    (line,) = drawn(gallery.build("line", result, str, complete=True), "shot-alone-line").values()
    (_, x), (_, y) = np.asarray(line.get_data())  # type: ignore[attr-defined]
    assert y / x == pytest.approx(1000 / 131.0)


def test_the_robust_line_is_drawn_only_where_single_runs_pull_the_fitted_one() -> None:
    result = worked_out(a_class(12, masses=(0.5,)))
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
    assert "no value" in {text.get_text() for text in words_of(spread)}


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
    assert "same mass" in " ".join(text.get_text() for text in words_of(gallery.build("ledger", result, str)))


def test_the_ledger_draws_each_share_to_scale() -> None:
    figure = gallery.build("ledger", worked_out(a_class(12)), str)
    bars = drawn(figure, "bar-")
    assert figure.axes[0].get_xlim()[0] < figure.axes[0].get_xlim()[1]
    assert {name: bar.get_width() for name, bar in bars.items()} == {  # type: ignore[attr-defined]
        "all": 1.0,
        "shot": 0.78,
        "heat-sink": 0.19,
        "unaccounted": 0.03,
    }


def test_a_ledger_that_is_read_from_the_right_grows_from_the_right() -> None:
    figure = gallery.build("ledger", worked_out(a_class(12)), str, right_to_left=True)
    low, high = figure.axes[0].get_xlim()
    assert low > high
    (share,) = drawn(figure, "share-shot").values()
    assert share.get_window_extent().x0 < SIZES["wall"].width / 2


def test_percent_error_is_written_large_with_its_interval_and_has_a_bead_for_each_bench() -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(result.class_value, percent_error=64.2, percent_error_interval=(58.7, 69.9))
    figure = gallery.build(
        "accepted", replace(result, class_value=value), lambda m: m.template % dict(m.values)
    )
    large, within = drawn(figure, "percent-error")[""], drawn(figure, "percent-error-interval")[""]
    assert isinstance(large, Text)
    assert isinstance(within, Text)
    assert (large.get_text(), within.get_text()) == ("+64 %", "+58.7 % to +69.9 %")
    assert float(large.get_fontsize()) > 2 * SIZES["wall"].text
    beads = [
        artist
        for artist in figure.axes[0].lines + list(figure.axes[0].artists)
        if str(artist.get_gid()).startswith("bench-bead")
    ]
    assert sorted(float(bead.get_xdata()[0]) for bead in beads) == pytest.approx(
        sorted(bench.apparent_heat_capacity_J_per_kg_K or 0.0 for bench in result.benches)
    )


def test_an_alloy_is_a_band_and_an_element_a_line() -> None:
    result = worked_out(a_class(12))
    steel = replace(SETTINGS, material="steel", accepted_J_per_kg_K=475.0, u_accepted_J_per_kg_K=14.4)
    assert not drawn(gallery.build("accepted", result, str), "alloy-band")
    alloy = gallery.build("accepted", replace(result, settings=steel), str)
    assert drawn(alloy, "alloy-band")
    assert not drawn(alloy, "accepted-line")


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
    assert "127" not in "".join(text.get_text() for text in words_of(figure))


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
    figure = gallery.build(name, worked_out(a_class(12)), str)
    said = [drawn(figure, f"{axis}-axis-words").get("") for axis in "xy"]
    assert [text.get_text() if isinstance(text, Text) else "" for text in said] == [across, up]


def test_an_empty_view_and_identical_values_still_have_a_width() -> None:
    assert view_of([]).low < view_of([]).high
    view = view_of([161.0, 161.0, 161.0])
    assert view.low < 161.0 < view.high
