"""Reasons for a second look: what is flagged, what is not, and the words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.results import ClassResult, RunReadings
from tests.analysis.classes import LEAD, perfect_runs, simulated_runs

COARSE = replace(LEAD, thermometer_step_K=0.5)


def flagged(result: ClassResult) -> dict[int, list[str]]:
    return {i: [flag.rule for flag in run.flags] for i, run in enumerate(result.runs) if run.flags}


def warmings(values: list[float], step: float = 0.1) -> ClassResult:
    """One bench for each warming, all else alike: 50 inversions of 0.92 m, 500 g, 20 °C at the start."""
    runs = [RunReadings(str(i), "1", 0.5, 1.0, 0.08, 50.0, 20.0, 20.0 + w) for i, w in enumerate(values)]
    return analyse_class(runs, replace(LEAD, thermometer_step_K=step))


def test_ties_of_a_coarse_thermometer_never_flag_half_the_class() -> None:
    # The scale of the deviations is zero here: more than half of the readings are the same.
    assert flagged(warmings([2.0, 2.0, 2.0, 2.0, 2.0, 2.5, 2.5, 1.5], step=0.5)) == {}
    assert flagged(warmings([2.0, 2.0, 2.0, 2.0, 2.0, 2.5, 4.0], step=0.5)).keys() == {6}


def test_a_pair_of_outliers_does_not_hide_itself() -> None:
    found = flagged(
        warmings([2.0, 2.1, 2.1, 2.2, 2.0, 2.1, 2.2, 2.1, 2.0, 2.1, 2.1, 2.0, 2.1, 2.2, 2.0, 3.3, 3.4])
    )
    assert found.keys() == {15, 16}
    assert "generalized-esd" in found[15]
    assert "generalized-esd" in found[16]


def test_with_fewer_than_five_runs_only_the_impossible_is_flagged() -> None:
    assert flagged(warmings([2.0, 2.1, 2.0, 3.0])) == {}
    assert flagged(warmings([2.0, 2.1, 2.0, -1.0])).keys() == {3}
    assert flagged(warmings([2.0, 2.1, 2.0, 9.0]))[3] == ["more-heat-than-energy"]


def test_planned_masses_are_no_reason_for_a_flag() -> None:
    apparent = [run.apparent_heat_capacity_J_per_kg_K for run in analyse_class(perfect_runs(), LEAD).runs]
    assert max(apparent) > 1.7 * min(apparent)  # type: ignore[operator, type-var]
    assert flagged(analyse_class(perfect_runs(), LEAD)) == {}


def test_a_bench_that_did_what_its_plan_says_is_like_its_class_however_far_from_it() -> None:
    masses = (1.0, 1.0, 1.0, 0.2, 0.2)  # what the planner proposes for five tubes
    unplanned = perfect_runs(masses, runs=2)
    planned = [replace(run, planned_shot_mass_kg=run.shot_mass_kg) for run in unplanned]
    assert flagged(analyse_class(unplanned, LEAD)).keys() == {6, 7, 8, 9}
    assert flagged(analyse_class(planned, LEAD)) == {}
    strayed = [*planned[:9], replace(planned[9], shot_mass_kg=0.1)]
    assert "mass-far-from-class" in flagged(analyse_class(strayed, LEAD))[9]


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"shot_mass_kg": 5.0}, "mass-far-from-class"),
        ({"shot_mass_kg": -0.2}, "mass-impossible"),
        ({"tube_length_m": 2.5}, "length-far-from-class"),
        ({"tube_length_m": 100.0}, "length-impossible"),
        ({"inversions": 500.0}, "inversions-far-from-class"),
        ({"inversions": 2.5}, "inversions-impossible"),
        ({"end_allowance_m": 1.2}, "end-allowance-impossible"),
        ({"end_allowance_m": 0.0}, "end-allowance-far-from-class"),
        ({"start_temperature_C": 40.0, "end_temperature_C": 41.4}, "start-temperature-far-from-class"),
        ({"start_temperature_C": 200.0, "end_temperature_C": 201.4}, "temperature-impossible"),
        ({"start_temperature_C": 20.0, "end_temperature_C": 20.0}, "no-warming"),
        ({"end_temperature_C": 26.0}, "modified-z"),
    ],
)
def test_each_rule_says_what_it_saw(change: dict[str, float], rule: str) -> None:
    runs = simulated_runs(2)
    runs[0] = replace(runs[0], **change)  # type: ignore[arg-type]
    found = analyse_class(runs, LEAD).runs[0].flags
    assert rule in [flag.rule for flag in found]
    for flag in found:
        text = str(flag.reason)
        assert "%(" not in text
        assert text.endswith(".")
        assert len(text) < 180


def test_a_mass_slip_is_flagged_even_though_it_does_not_show_in_the_apparent_heat_capacity() -> None:
    runs = perfect_runs()
    clean = analyse_class(runs, LEAD).runs[7].apparent_heat_capacity_J_per_kg_K
    runs[7] = replace(runs[7], shot_mass_kg=runs[7].shot_mass_kg * 1000)
    run = analyse_class(runs, LEAD).runs[7]
    assert run.apparent_heat_capacity_J_per_kg_K == clean
    assert run.flags


def test_a_reading_between_the_marks_is_flagged_only_where_the_others_lie_on_marks() -> None:
    runs = [replace(run, end_temperature_C=round(run.end_temperature_C * 2) / 2) for run in perfect_runs()]
    runs[4] = replace(runs[4], end_temperature_C=runs[4].end_temperature_C + 0.2)
    assert flagged(analyse_class(runs, COARSE)) == {4: ["between-thermometer-marks"]}
    assert flagged(analyse_class(perfect_runs(), COARSE)) == {}


def test_the_class_is_shown_with_and_without_the_flagged_runs() -> None:
    runs = perfect_runs([0.5] * 8)
    runs[3] = replace(runs[3], end_temperature_C=30.0)
    result = analyse_class(runs, LEAD)
    assert result.class_value is not None
    assert result.class_value_without_flagged is not None
    assert result.class_value.runs == 24
    assert result.class_value_without_flagged.runs == 23
    assert result.class_value_without_flagged.apparent_heat_capacity_J_per_kg_K == pytest.approx(
        127.4 + 45.0 / 0.5, rel=2e-3
    )
    assert "1 of 24" in str(result.warnings[0])
