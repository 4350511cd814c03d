"""Reasons for a second look: what is flagged, what is not, and the words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.columns import columns
from app.analysis.doubt.flags import chances
from app.analysis.doubt.inputs import Inputs
from app.analysis.readings import RunReadings
from app.analysis.results import ClassResult
from tests.analysis.classes import LEAD, perfect_runs, simulated_runs

COARSE = replace(LEAD, thermometer_step_K=0.5)


def flagged(result: ClassResult) -> dict[int, list[str]]:
    return {i: [flag.rule for flag in run.flags] for i, run in enumerate(result.runs) if run.flags}


def warmings(values: list[float], step: float = 0.1) -> ClassResult:
    """One bench for each warming, all else alike: 50 inversions of 0.92 m, 500 g, 20 °C at the start."""
    runs = [RunReadings(str(i), "1", 0.5, 1.0, 0.08, 50.0, 20.0, 20.0 + w) for i, w in enumerate(values)]
    return analyse_class(runs, replace(LEAD, thermometer_step_K=step))


def test_ties_of_a_coarse_thermometer_never_flag_half_the_class() -> None:
    assert flagged(warmings([2.0, 2.0, 2.0, 2.0, 2.0, 2.5, 2.5, 1.5], step=0.5)) == {}
    assert flagged(warmings([2.0, 2.0, 2.0, 2.0, 2.0, 2.5, 4.0], step=0.5)).keys() == {6}


def test_a_pair_of_outliers_does_not_hide_itself() -> None:
    found = flagged(
        warmings([2.0, 2.1, 2.1, 2.2, 2.0, 2.1, 2.2, 2.1, 2.0, 2.1, 2.1, 2.0, 2.1, 2.2, 2.0, 3.3, 3.4])
    )
    assert found == {15: ["unlike-the-others"], 16: ["unlike-the-others"]}


def test_of_two_runs_neither_is_unlike_the_other() -> None:
    assert flagged(warmings([2.0, 4.0])) == {}
    assert flagged(warmings([2.0, 2.1, 4.2])).keys() == {2}
    assert flagged(warmings([2.0, -1.0])) == {1: ["no-warming"]}


def test_planned_masses_are_no_reason_for_a_flag() -> None:
    apparent = [run.apparent_heat_capacity_J_per_kg_K for run in analyse_class(perfect_runs(), LEAD).runs]
    assert max(apparent) > 1.7 * min(apparent)  # type: ignore[operator, type-var]
    assert flagged(analyse_class(perfect_runs(), LEAD)) == {}


def test_a_light_bench_is_like_its_class_whether_a_plan_is_known_or_not() -> None:
    masses = (1.0, 1.0, 1.0, 0.2, 0.2)  # what the planner proposes for five tubes
    unplanned = perfect_runs(masses, runs=2)
    planned = [replace(run, planned_shot_mass_kg=run.shot_mass_kg) for run in unplanned]
    assert flagged(analyse_class(unplanned, LEAD)) == {}
    assert flagged(analyse_class(planned, LEAD)) == {}
    strayed = [*planned[:9], replace(planned[9], shot_mass_kg=0.1)]
    assert flagged(analyse_class(strayed, LEAD)) == {9: ["unlike-the-others", "mass-far-from-plan"]}


def test_a_count_that_differs_while_the_warming_confirms_it_is_not_flagged() -> None:
    # Three times the turns, three times the warming: what the bench was planned to do does not matter.
    runs = perfect_runs(inversions=50.0)
    of_bench = perfect_runs(inversions=150.0)[4]
    runs[4] = replace(of_bench, planned_inversions=50.0)
    assert flagged(analyse_class(runs, LEAD)) == {}
    runs[4] = replace(runs[4], end_temperature_C=perfect_runs(inversions=50.0)[4].end_temperature_C)
    assert flagged(analyse_class(runs, LEAD)) == {4: ["unlike-the-others", "inversions-far-from-plan"]}


def test_a_reading_is_held_against_the_plan_then_the_bench_and_only_then_the_class() -> None:
    runs = perfect_runs([0.5] * 6)
    for i, count in ((9, 100.0), (10, 104.0), (11, 98.0), (12, 25.0), (13, 25.0), (14, 25.0)):
        runs[i] = replace(runs[i], inversions=count)
    runs[9] = replace(runs[9], planned_inversions=40.0)
    usual = Inputs(columns(runs, LEAD)).usual
    held = {i: next(one for one in usual(i) if one.measure.name == "inversions") for i in (9, 10, 13)}
    assert (held[9].whose, held[9].value) == ("plan", 40.0)
    assert (held[10].whose, held[10].value) == ("bench", 99.0)
    # Runs with the same reading do not say that it is usual.
    assert (held[13].whose, held[13].value) == ("class", pytest.approx(50.0))
    alone = [*runs, RunReadings("alone", "1", 0.5, 1.0, 0.08, 50.0, 20.0, 22.0)]
    of_class = Inputs(columns(alone, LEAD)).usual(len(runs))[2]
    assert (of_class.whose, of_class.value) == ("class", pytest.approx(50.0))


@pytest.mark.parametrize(
    ("change", "rules"),
    [
        ({"shot_mass_kg": 5.0}, ["unlike-the-others", "mass-far-from-bench"]),
        ({"shot_mass_kg": -0.2}, ["mass-impossible"]),
        ({"tube_length_m": 2.5}, ["unlike-the-others", "length-far-from-bench"]),
        ({"tube_length_m": 100.0}, ["length-impossible"]),
        ({"inversions": 500.0}, ["unlike-the-others", "inversions-far-from-bench"]),
        ({"inversions": 2.5}, ["inversions-impossible", "more-heat-than-energy"]),
        ({"end_allowance_m": 1.2}, ["end-allowance-impossible"]),
        ({"end_allowance_m": 0.0}, ["end-allowance-far-from-class"]),
        ({"start_temperature_C": 40.0, "end_temperature_C": 41.4}, []),
        (
            {"start_temperature_C": 40.0, "end_temperature_C": 43.4},
            ["unlike-the-others", "start-temperature-far-from-class"],
        ),
        ({"start_temperature_C": 200.0, "end_temperature_C": 201.4}, ["temperature-impossible"]),
        ({"start_temperature_C": 20.0, "end_temperature_C": 20.0}, ["no-warming", "unlike-the-others"]),
        ({"end_temperature_C": 26.0}, ["more-heat-than-energy", "unlike-the-others"]),
    ],
)
def test_each_rule_says_what_it_saw(change: dict[str, float], rules: list[str]) -> None:
    runs = simulated_runs(2)
    runs[0] = replace(runs[0], **change)  # type: ignore[arg-type]
    found = analyse_class(runs, LEAD).runs[0].flags
    assert [flag.rule for flag in found] == rules
    for flag in found:
        text = str(flag.reason)
        assert "%(" not in text
        assert text.endswith(".")
        assert len(text) < 200


def test_a_bench_whose_runs_agree_far_from_the_class_is_flagged_as_a_bench() -> None:
    runs = [
        replace(run, end_temperature_C=round(run.start_temperature_C + 0.6 * run.warming_K, 1))
        if run.bench == "5"
        else run
        for run in simulated_runs(3)
    ]
    result = analyse_class(runs, LEAD)
    assert flagged(result) == {i: ["bench-unlike-the-others"] for i in (12, 13, 14)}
    assert result.benches[4].unlike_the_others is not None
    assert result.benches[4].unlike_the_others > 0.5
    assert all(not run.is_unlike_the_others for run in result.runs)


def test_a_mass_slip_is_flagged_even_though_it_does_not_show_in_the_apparent_heat_capacity() -> None:
    runs = perfect_runs()
    clean = analyse_class(runs, LEAD).runs[7].apparent_heat_capacity_J_per_kg_K
    runs[7] = replace(runs[7], shot_mass_kg=runs[7].shot_mass_kg * 1000)
    run = analyse_class(runs, LEAD).runs[7]
    assert run.apparent_heat_capacity_J_per_kg_K == clean
    assert run.flags


def test_a_run_of_impossible_mass_is_not_compared_by_its_mass() -> None:
    runs = perfect_runs()
    runs[0] = replace(runs[0], shot_mass_kg=runs[0].shot_mass_kg / 1000)
    found = analyse_class(runs, LEAD).runs[0]
    assert [flag.rule for flag in found.flags] == ["mass-impossible"]
    assert found.suspected_slip is not None
    assert found.suspected_slip.slip == "mass-unit"


def test_a_reading_between_the_marks_is_a_reason_only_for_an_odd_run_in_a_class_on_marks() -> None:
    runs = [replace(run, end_temperature_C=round(run.end_temperature_C * 2) / 2) for run in perfect_runs()]
    runs[4] = replace(runs[4], end_temperature_C=runs[4].end_temperature_C + 0.2)
    assert flagged(analyse_class(runs, COARSE)) == {}
    runs[4] = replace(runs[4], end_temperature_C=runs[4].end_temperature_C + 3.0)
    assert "between-thermometer-marks" in flagged(analyse_class(runs, COARSE))[4]
    off = perfect_runs()
    off[4] = replace(off[4], end_temperature_C=off[4].end_temperature_C + 3.2)
    assert "between-thermometer-marks" not in flagged(analyse_class(off, COARSE))[4]


def test_a_run_that_is_set_aside_is_judged_as_if_it_were_counted() -> None:
    runs = simulated_runs(4)
    runs[7] = replace(runs[7], inversions=runs[7].inversions / 2)
    counted = analyse_class(runs, LEAD)
    aside = analyse_class([replace(run, set_aside=i in (7, 20)) for i, run in enumerate(runs)], LEAD)
    assert flagged(counted).keys() == flagged(aside).keys() == {7}
    for i in (7, 20):
        was, now = counted.runs[i].unlike_the_others, aside.runs[i].unlike_the_others
        assert was is not None
        assert now == pytest.approx(was, abs=0.03)


@pytest.mark.parametrize(
    ("probability", "of", "among"),
    [(0.5, "1", "2"), (0.66, "1", "2"), (0.67, "2", "3"), (0.75, "3", "4"), (0.8, "4", "5"),
     (0.949, "9", "10"), (0.95, "19", "20"), (0.979, "19", "20"), (0.98, "49", "50"), (0.99, "99", "100"),
     (0.9999, "999", "1000"), (1.0, "999", "1000")],
)  # fmt: skip
def test_a_probability_is_said_as_chances_and_never_overstated(
    probability: float, of: str, among: str
) -> None:
    assert chances(probability) == {"of": of, "in": among}
    assert int(of) / int(among) <= probability


def test_the_class_is_known_with_and_without_the_flagged_runs() -> None:
    runs = perfect_runs([0.5] * 8)
    runs[3] = replace(runs[3], end_temperature_C=30.0)
    result = analyse_class(runs, LEAD)
    assert result.class_value is not None
    assert result.class_value_without_flagged is not None
    assert (result.class_value.runs, result.class_value_without_flagged.runs) == (24, 23)
    for value in (result.class_value, result.class_value_without_flagged):
        assert value.apparent_heat_capacity_J_per_kg_K == pytest.approx(127.4 + 45.0 / 0.5, rel=4e-3)
    assert "1 of 24" in str(result.warnings[0])
    assert "moves the result little" in str(result.warnings[0])
