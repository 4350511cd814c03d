"""Where a sentence about a figure turns into another one, and every line of the tables beside the figures."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.figures import gallery
from app.figures.accepted import accepted_words
from app.figures.alternative import alternative, share_text, table
from app.figures.findings import finding, pull
from app.figures.levels import shown_levels, what_lanes_show
from app.figures.numbers import with_plus
from tests.figures.classes import a_class, a_run, set_aside, worked_out


@pytest.mark.parametrize(
    ("robust", "is_pulled"),
    [
        (1 / 1.049, False),
        (1 / 1.051, True),
        (1 / 0.951, False),
        (1 / 0.949, True),
        (None, False),
        (-1.0, False),
    ],
)
def test_a_line_is_pulled_where_the_robust_one_is_more_than_a_twentieth_away(
    robust: float | None, is_pulled: bool
) -> None:
    result = worked_out(a_class(12))
    assert result.line is not None
    fit = replace(result.line, slope_K_kg_per_J=1.0, robust_slope_K_kg_per_J=robust)
    assert (pull(replace(result, line=fit)) is not None) is is_pulled


def test_a_line_misses_the_origin_from_twice_the_uncertainty_of_its_offset_on() -> None:
    result = worked_out(a_class(12, masses=(0.5,)))
    assert result.line is not None
    for offset, u, said in ((0.2, 0.1, False), (0.201, 0.1, True), (-0.201, 0.1, True), (0.2, 0.0, False)):
        off = replace(result.line, offset_K=offset, u_offset_K=u)
        assert ("miss the origin" in str(finding("line", replace(result, line=off)))) is said, offset


def test_a_slope_is_said_for_a_kilojoule_to_the_place_of_its_uncertainty() -> None:
    """7.0123 mK·kg/J are 7.01 K for 1 kJ/kg, ± 0.043 K; 1/0.0070123 is 142.6 J/(kg·K)."""
    result = worked_out(a_class(12, masses=(0.5,)))
    assert result.line is not None
    fit = replace(
        result.line,
        slope_K_kg_per_J=0.0070123,
        u_slope_K_kg_per_J=0.000043,
        apparent_heat_capacity_J_per_kg_K=142.6,
    )
    said = str(finding("line", replace(result, line=fit)))
    assert "warms the shot by 7.012 K, so the line gives 143 J/(kg·K)." in said
    unknown = replace(fit, u_slope_K_kg_per_J=None)
    assert "by 7.01 K" in str(finding("line", replace(result, line=unknown)))
    level = replace(fit, slope_K_kg_per_J=0.0)
    assert "does not rise" in str(finding("line", replace(result, line=level)))


def test_percent_errors_below_ten_have_one_decimal_and_equal_values_are_not_above() -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    for error, inside, says in (
        (9.94, True, "9.9 % above the accepted 127.37 J/(kg·K), which lies inside"),
        (-10.2, True, "10 % below the accepted 127.37 J/(kg·K), which lies inside"),
        (0.0, None, "0.0 % below the accepted 127.37 J/(kg·K); it has no interval yet"),
        (0.4, None, "0.4 % above the accepted 127.37 J/(kg·K); it has no interval yet"),
        (12.0, False, "12 % above the accepted 127.37 J/(kg·K), which lies outside"),
    ):
        value = replace(result.class_value, percent_error=error, accepted_inside_interval=inside)
        assert says in str(finding("accepted", replace(result, class_value=value)))


@pytest.mark.parametrize(
    ("rest", "u", "within"),
    [(0.04, 0.02, True), (0.041, 0.02, False), (-0.04, 0.02, True), (-0.041, 0.02, False)],
)
def test_a_rest_within_twice_its_uncertainty_is_no_more_than_that(
    rest: float, u: float, within: bool
) -> None:
    result = worked_out(a_class(12))
    assert result.ledger is not None
    parts = result.ledger._replace(unaccounted=rest, u_unaccounted=u)
    said = str(finding("ledger", replace(result, ledger=parts)))
    assert ("no more than twice its uncertainty" in said) is within
    alone = parts._replace(heat_sink=None)
    said = str(finding("ledger", replace(result, ledger=alone)))
    assert ("no more than the uncertainty of the readings allows" in said) is (rest < 0 and within)
    assert ("is not accounted for" in said) is (rest > 0)


def test_the_table_of_the_accepted_value_has_both_intervals_and_the_verdict() -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(
        result.class_value,
        apparent_heat_capacity_J_per_kg_K=140.04,
        interval_95=(131.5, 148.5),
        percent_error=9.947,
        percent_error_interval=(3.24, 16.6),
        accepted_inside_interval=False,
    )
    lines = table("accepted", replace(result, class_value=value)).lines
    assert [(str(line.words), str(line.numbers[0])) for line in lines] == [
        ("accepted value / J/(kg·K)", "127.37"),
        ("class value / J/(kg·K)", "140.0"),
        ("its 95 % interval", "131.5 to 148.5"),
        ("percent error / %", "9.9"),
        ("its 95 % interval", "3.2 to 16.6"),
        ("accepted value inside the interval", "no"),
    ]
    bare = replace(value, interval_95=None, percent_error_interval=None, accepted_inside_interval=None)
    lines = table("accepted", replace(result, class_value=bare)).lines
    assert [str(line.numbers[0]) for line in lines] == [
        *("127.37", "140", "cannot be said yet", "9.9", "cannot be said yet", "cannot be said yet"),
    ]
    assert (
        str(
            table("accepted", replace(result, class_value=replace(value, accepted_inside_interval=True)))
            .lines[-1]
            .numbers[0]
        )
        == "yes"
    )
    assert table("accepted", replace(result, class_value=None)).lines == ()


def test_the_table_of_the_ledger_has_the_shares_and_the_heat_sink_with_its_interval() -> None:
    result = worked_out(a_class(12))
    assert result.ledger is not None
    parts = result.ledger._replace(u_shot=0.0051, u_heat_sink=0.0049, u_unaccounted=0.036)
    lines = table("ledger", replace(result, ledger=parts)).lines
    assert [(str(line.words), str(line.numbers[0])) for line in lines] == [
        ("warmed the shot", "78 % ± 1 %"),
        ("warmed tube, caps, cup and thermometer", "19 %"),
        ("not accounted for", "3 % ± 4 %"),
        ("heat sink / J/K", "17.5"),
        ("its 95 % interval", "14.0 to 21.0"),
    ]
    told = replace(result, separated=replace(result.separated, identifiable=False))
    assert len(table("ledger", told).lines) == 3


def test_benches_are_in_the_order_of_their_numbers_and_named_ones_come_last() -> None:
    runs = [a_run(name) for name in ("b", "10", "2", "a", "1")]
    assert [line.bench for line in table("spread", worked_out(runs)).lines] == ["1", "2", "10", "a", "b"]


def test_the_alternative_text_counts_what_is_flagged_and_set_aside() -> None:
    runs = [set_aside(a_run(1)), set_aside(a_run(1, 2)), a_run(2), a_run(3), a_run(4, warming=1.0)]
    counts = str(alternative("spread", worked_out(runs))[1])
    assert counts == "Runs: 5, benches: 4, flagged: 1, set aside: 2."


@pytest.mark.parametrize(("half", "runs_off"), [(280.0, False), (281.0, True)])
def test_an_interval_four_times_as_wide_as_the_value_is_shown_whole_and_a_wider_one_runs_off(
    half: float, runs_off: bool
) -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(
        result.class_value, apparent_heat_capacity_J_per_kg_K=140.0, interval_95=(140 - half, 140 + half)
    )
    figure = gallery.build("accepted", replace(result, class_value=value), str)
    arrows = [text.get_text() for text in figure.axes[0].texts if set(text.get_text()) & {"→", "←"}]
    assert arrows == (["← −140", "420 →"] if runs_off else [])


@pytest.mark.parametrize(
    ("u", "said"),
    [(None, "78 %"), (0.00496, "78 %"), (0.005, "78 %"), (0.00504, "78 % ± 1 %"), (0.0249, "78 % ± 2 %")],
)
def test_a_share_has_its_uncertainty_where_that_is_above_half_a_percent(u: float | None, said: str) -> None:
    assert str(share_text(78, u)) == said


def test_a_rest_of_nothing_is_no_more_than_there_was() -> None:
    result = worked_out(a_class(12))
    assert result.ledger is not None
    parts = result.ledger._replace(shot=1.0, heat_sink=None, unaccounted=0.0, u_unaccounted=0.0)
    said = str(finding("ledger", replace(result, ledger=parts)))
    assert said == "Of the fall energy, 100 % warmed the shot and 0 % is not accounted for."


def test_only_what_is_above_zero_has_a_plus() -> None:
    assert [with_plus(text, float(text)) for text in ("0.4", "0", "-0.4")] == ["+0.4", "0", "-0.4"]


def test_a_benchs_value_has_the_places_of_its_uncertainty_unless_a_run_has_none() -> None:
    """9.80665 × 0.92 × 50 / 2 is 225.55 J/(kg·K)."""
    warm, cold = a_run(1, 1, warming=2.0), a_run(1, 2, warming=-0.2)
    for runs, u, said in (
        ([warm], 0.31, "225.55"),
        ([warm], None, "226"),
        ([warm, cold], 0.31, "226 (1 of 2)"),
        ([warm, set_aside(cold)], 0.31, "225.55"),
    ):
        result = worked_out(runs)
        benches = (replace(result.benches[0], standard_uncertainty_J_per_kg_K=u),)
        (line,) = table("spread", replace(result, benches=benches)).lines
        assert str(line.numbers[1]) == said


@pytest.mark.parametrize(("heavier", "said"), [(0.54, "520"), (0.56, "500 to 560")])
def test_a_benchs_masses_are_averaged_up_to_a_tenth_apart(heavier: float, said: str) -> None:
    (line,) = table("separated", worked_out([a_run(1, 1), a_run(1, 2, mass=heavier)])).lines
    assert str(line.numbers[0]) == said


@pytest.mark.parametrize(("ratio", "asks"), [(1.04, False), (1.06, True)])
def test_the_lightest_level_reads_higher_from_a_twentieth_on(ratio: float, asks: bool) -> None:
    result = worked_out(a_class(12))
    light, *_, heavy = result.levels
    light = replace(light, apparent_heat_capacity_J_per_kg_K=ratio * heavy.apparent_heat_capacity_J_per_kg_K)
    question = str(what_lanes_show(replace(result, levels=(light, heavy))))
    assert question.endswith("Why would less shot read higher?" if asks else "much the same.")


def test_levels_are_told_apart_up_to_five() -> None:
    result = worked_out(a_class(12))
    one = result.levels[0]
    told = [len(shown_levels(replace(result, levels=(one,) * levels))) for levels in range(8)]
    assert told == [0, 0, 2, 3, 4, 5, 0, 0]


def test_an_accepted_value_is_written_with_six_digits() -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(result.class_value, accepted_J_per_kg_K=127.3714532)
    known = replace(result, class_value=value)
    assert str(table("accepted", known).lines[0].numbers[0]) == "127.371"
    assert "accepted 127.371 J/(kg·K)" in str(finding("accepted", known))
    assert str(accepted_words(127.3714532)) == "accepted 127.371"
