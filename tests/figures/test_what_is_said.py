"""Findings, tables and alternative texts agree with the class's figures."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.fit.accepted import accepted_inside
from app.figures import gallery
from app.figures.alternative import alternative, table
from app.figures.findings import FINDERS, finding, pull, unlike_the_others
from app.figures.levels import what_lanes_show
from app.physics.materials import MATERIALS
from tests.figures.classes import SETTINGS, a_class, a_run, set_aside, worked_out


def test_the_spreads_finding_gives_the_class_value_to_the_place_its_interval_allows() -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(result.class_value, apparent_heat_capacity_J_per_kg_K=168.34, interval_95=(161.2, 175.5))
    said = str(finding("spread", replace(result, class_value=value)))
    assert said == (
        "The class value is 168.3 J/(kg·K), with a 95 % interval from 161.2 to 175.5 (runs: 24, benches: 12)."
    )


def test_a_class_without_runs_is_said_to_have_none() -> None:
    for name in FINDERS:
        assert str(finding(name, worked_out([])))


@pytest.mark.parametrize(
    ("interval", "inside", "words"),
    [
        ((120.0, 150.0), True, "lies inside the class's interval"),
        ((130.0, 150.0), False, "lies outside the class's interval"),
        (None, None, "has no interval yet"),
    ],
)
def test_the_verdict_on_the_accepted_value_follows_the_interval(
    interval: tuple[float, float] | None, inside: bool | None, words: str
) -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(
        result.class_value,
        apparent_heat_capacity_J_per_kg_K=140.0,
        percent_error=(140 / SETTINGS.accepted_J_per_kg_K - 1) * 100,
        interval_95=interval,
        accepted_inside_interval=inside,
    )
    said = str(finding("accepted", replace(result, class_value=value)))
    assert words in said
    assert "9.9 % above the accepted 127.37" in said


def test_a_class_value_below_the_accepted_value_is_said_to_be_below() -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    value = replace(result.class_value, percent_error=-12.4, accepted_inside_interval=False)
    assert "12 % below" in str(finding("accepted", replace(result, class_value=value)))


def test_a_line_that_misses_the_origin_by_more_than_its_uncertainty_is_said_to() -> None:
    result = worked_out(a_class(12, masses=(0.5,)))
    assert result.line is not None
    assert "origin" not in str(finding("line", result))
    off = replace(result.line, offset_K=0.51, u_offset_K=0.1)
    assert "miss the origin by 0.51 K" in str(finding("line", replace(result, line=off)))


def test_a_line_that_single_runs_pull_is_said_to_be_pulled_and_drawn_beside_the_robust_one() -> None:
    result = worked_out(a_class(12))
    assert result.line is not None
    assert pull(result) is None
    pulled = replace(result, line=replace(result.line, robust_slope_K_kg_per_J=1 / 150))
    assert str(pull(pulled)) == "Single runs pull it: a robust line gives 150."


def test_the_line_says_that_a_class_which_cooled_did_not_warm() -> None:
    result = worked_out(a_class(4, masses=(0.5,)))
    assert result.line is not None
    assert "does not rise" in str(
        finding("line", replace(result, line=replace(result.line, slope_K_kg_per_J=-0.001)))
    )


@pytest.mark.parametrize(
    ("rest", "words"),
    [
        (0.03, "the rest (3 %) is no more than twice its uncertainty"),
        (0.12, "and 12 % is not accounted for"),
        (-0.12, "together more than there was"),
    ],
)
def test_the_ledgers_finding_shares_out_the_energy_and_weighs_the_rest(rest: float, words: str) -> None:
    result = worked_out(a_class(12))
    assert result.ledger is not None
    said = str(finding("ledger", replace(result, ledger=result.ledger._replace(unaccounted=rest))))
    assert words in said
    assert "78 %" in said


@pytest.mark.parametrize(("shot", "sink"), [(0.7849, 0.1949), (0.784, 0.191), (0.455, None), (1.084, None)])
def test_the_shares_as_written_add_to_a_hundred_wherever_they_stand(shot: float, sink: float | None) -> None:
    result = worked_out(a_class(12))
    assert result.ledger is not None
    rest = 1 - shot - (sink or 0)
    parts = result.ledger._replace(shot=shot, heat_sink=sink, unaccounted=rest, u_unaccounted=0.0)
    result = replace(result, ledger=parts)
    lines = [str(line.numbers[0]) for line in table("ledger", result).lines[: 2 if sink is None else 3]]
    written = [int(line.split(" %")[0].replace("−", "-")) for line in lines]
    assert sum(written) == 100
    drawn = gallery.build("ledger", result, str).axes[0].texts
    assert [text.get_text() for text in drawn if (text.get_gid() or "").startswith("share-")][1:] == lines
    said = str(finding("ledger", result))
    assert f"{written[0]} %" in said.replace("−", "-")


@pytest.mark.parametrize(
    ("shot", "u", "why"),
    [
        (1.12, 0.02, "more than there was: a reading is off"),
        (1.02, 0.02, "no more than the uncertainty of the readings allows"),
    ],
)
def test_a_share_above_everything_is_said_with_its_reason(shot: float, u: float, why: str) -> None:
    result = worked_out(a_class(12))
    assert result.ledger is not None
    parts = result.ledger._replace(shot=shot, heat_sink=None, unaccounted=1 - shot, u_unaccounted=u)
    assert why in str(finding("ledger", replace(result, ledger=parts)))


@pytest.mark.parametrize(
    ("value", "interval", "says"),
    [
        (480.0, (460.0, 500.0), "lies inside the range accepted for such alloys, 450 to 500 J/(kg·K)."),
        (503.0, (460.0, 546.0), "is 0.6 % above the range accepted for such alloys, 450 to 500 J/(kg·K)."),
        (
            503.0,
            (501.0, 505.0),
            "is 0.6 % above the range accepted for such alloys, 450 to 500 J/(kg·K), and",
        ),
        (550.0, (480.0, 620.0), "is 10 % above the range accepted for such alloys, 450 to 500 J/(kg·K)."),
        (405.0, (380.0, 430.0), "is 10.0 % below the range accepted for such alloys"),
        (600.0, (560.0, 640.0), "is 20 % above the range accepted for such alloys"),
    ],
)
def test_an_alloy_is_held_against_its_range(value: float, interval: tuple[float, float], says: str) -> None:
    result = worked_out(a_class(12))
    assert result.class_value is not None
    steel = MATERIALS["steel"]
    assert steel.accepted_range_J_per_kg_K == (450.0, 500.0)
    settings = replace(
        result.settings,
        material="steel",
        accepted_J_per_kg_K=steel.accepted_J_per_kg_K,
        u_accepted_J_per_kg_K=steel.u_accepted_J_per_kg_K,
    )
    pooled = replace(
        result.class_value,
        apparent_heat_capacity_J_per_kg_K=value,
        interval_95=interval,
        accepted_inside_interval=accepted_inside(interval, settings),
    )
    said = str(finding("accepted", replace(result, settings=settings, class_value=pooled)))
    assert says in said
    assert ("chance alone" in said) is not (interval[0] <= 500.0 and interval[1] >= 450.0)


def test_runs_unlike_the_others_are_said_to_move_the_class_value_little() -> None:
    result = worked_out([*a_class(12), a_run(12, 3, warming=1.0)])
    odd = replace(result.runs[-1], unlike_the_others=0.9)
    result = replace(result, runs=(*result.runs[:-1], odd))
    assert "still counted: 1. They move it little" in str(unlike_the_others(result))
    aside = replace(odd, readings=replace(odd.readings, set_aside=True))
    assert unlike_the_others(replace(result, runs=(*result.runs[:-1], aside))) is None
    calm = replace(result, runs=tuple(replace(run, unlike_the_others=0.1) for run in result.runs))
    assert unlike_the_others(calm) is None


def test_every_sentence_can_be_filled_in_by_a_translator_s_function() -> None:
    """A per cent sign that is not doubled would break the sentence in every language but English."""
    for runs in ([], [a_run(1)], a_class(12), [*a_class(12), a_run(13, warming=-0.3)]):
        result = worked_out(runs)
        for name in FINDERS:
            numbers = table(name, result)
            said = [finding(name, result), *alternative(name, result), numbers.caption, *numbers.columns]
            said += [number for line in numbers.lines for number in line.numbers]
            said += [line.words for line in numbers.lines if line.words is not None]
            for message in said:
                assert message.template % dict(message.values)


def test_a_class_with_several_masses_is_told_by_mass() -> None:
    result = worked_out(a_class(12))
    light, middle, heavy = (level.apparent_heat_capacity_J_per_kg_K for level in result.levels)
    lines = table("spread", result).lines
    assert [str(line.words) for line in lines] == ["250 g", "500 g", "1000 g"]
    assert [str(line.numbers[0]) for line in lines] == ["4", "4", "4"]
    assert [float(str(line.numbers[1])) for line in lines] == pytest.approx([light, middle, heavy], abs=0.6)
    question = str(what_lanes_show(result))
    assert question.endswith("Why would less shot read higher?")
    assert f"250 g read {lines[0].numbers[1]}, with 1000 g {lines[2].numbers[1]}" in question
    slopes = [float(str(line.numbers[0])) for line in table("line", result).lines]
    assert slopes == pytest.approx([1000 / light, 1000 / middle, 1000 / heavy], abs=0.006)
    assert f"1000 g by {table('line', result).lines[2].numbers[0]} K" in str(finding("line", result))


def test_levels_that_read_alike_raise_no_question_and_one_mass_has_none() -> None:
    result = worked_out(a_class(12))
    alike = tuple(replace(level, apparent_heat_capacity_J_per_kg_K=170.0) for level in result.levels)
    assert str(what_lanes_show(replace(result, levels=alike))).endswith("much the same.")
    assert what_lanes_show(worked_out(a_class(12, masses=(0.5,)))) is None
    assert what_lanes_show(replace(result, levels=result.levels * 2)) is None, "too many to show each"


def test_a_bench_with_a_run_without_a_value_shows_the_mean_of_the_others_and_how_many() -> None:
    runs = [a_run(1, 1, warming=2.0), a_run(1, 2, warming=2.0), a_run(1, 3, warming=-0.2)]
    (line,) = table("spread", worked_out(runs)).lines
    assert str(line.numbers[1]) == "226 (2 of 3)"  # 9.80665 × 0.92 × 50 / 2 = 225.6 by hand


def test_masses_of_a_bench_that_are_not_one_are_not_averaged() -> None:
    runs = [a_run(1, 1, mass=0.00026), a_run(1, 2, mass=0.261), *a_class(4, masses=(0.5,))[2:]]
    first, second, *_ = table("separated", worked_out(runs)).lines
    assert str(first.numbers[0]) == "0.26 to 261"
    assert str(second.numbers[0]) == "500"


@pytest.mark.parametrize("name", ["spread", "line", "separated"])
def test_a_figures_table_has_a_line_for_every_bench_in_order_with_the_state_of_its_mark(name: str) -> None:
    runs = a_class(12, masses=(0.5,))
    runs = [set_aside(run) if run.bench == "2" else run for run in runs]
    lines = table(name, worked_out([*runs, a_run(11, 3, warming=1.0)])).lines
    assert [line.bench for line in lines] == [str(number) for number in range(1, 13)]
    assert [line.bench for line in lines if line.hollow] == ["2"]
    assert "11" in [line.bench for line in lines if line.ringed]
    assert str(lines[1].numbers[-1]) == "–"


@pytest.mark.parametrize("name", ["spread", "line"])
def test_nothing_said_before_the_reveal_holds_the_accepted_value(name: str) -> None:
    result = worked_out(a_class(12))
    said = [str(finding(name, result)), *map(str, alternative(name, result))]
    said += [str(number) for line in table(name, result).lines for number in line.numbers]
    assert "127" not in " ".join(said)
    assert "accepted" not in " ".join(said)


def test_a_figures_table_gives_the_means_of_the_counted_runs() -> None:
    """e = 9.80665 × 0.92 × 500 J/kg = 4.511 kJ/kg by hand."""
    runs = [a_run(1, number, warming=2 + 0.2 * number, inversions=500) for number in range(3)]
    result = worked_out([*runs[:2], set_aside(runs[2])])
    (line,) = table("line", result).lines
    assert [str(number) for number in line.numbers] == ["4.511", "2.10"]
    (separated,) = table("separated", result).lines
    assert str(separated.numbers[0]) == "500"
    (spread,) = table("spread", result).lines
    assert str(spread.numbers[0]) == "2"


def test_the_alternative_text_says_what_how_many_and_the_finding() -> None:
    result = worked_out(a_class(12))
    what, counts, found = map(str, alternative("spread", result))
    assert "scale of apparent specific heat capacity" in what
    assert "Runs: 24, benches: 12" in counts
    assert found == str(finding("spread", result))
