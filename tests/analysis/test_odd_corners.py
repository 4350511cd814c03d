"""Classes at the edge of what a fit can say: an answer, or a reason why there is none; never a traceback."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.analyse import analyse_class
from app.analysis.fit.accepted import alloy_range
from app.analysis.fit.at_medians import at_medians
from app.analysis.fit.class_fit import NotFitted
from app.analysis.fit.class_value import class_value
from app.analysis.fit.set_aside import refitted_without, without_runs
from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.prediction import BenchPlan, predict
from app.analysis.readings import ClassSettings
from app.analysis.views.json import as_plain_data
from app.physics.materials import MATERIALS
from tests.analysis.classes import LEAD, perfect_runs, simulated_runs
from tests.analysis.fit.rooms import a_room, fitted, half_widths, main_figures
from tests.simulated_room import Room


def test_a_bench_with_its_own_thermometer_in_a_class_without_a_step() -> None:
    runs = [replace(run, thermometer_step_K=0.1 if run.bench == "1" else None) for run in simulated_runs(3)]
    result = analyse_class(runs, replace(LEAD, thermometer_step_K=0.0))
    assert result.class_value is not None


def test_four_of_a_bench_s_six_runs_set_aside_are_as_if_they_were_never_made() -> None:
    fit = fitted(a_room(1, Room(benches=10, runs=6)))
    out = {0, 2, 4, 5}
    found, refitted = without_runs(fit, out), refitted_without(fit, out)
    assert not isinstance(found, NotFitted)
    assert not isinstance(refitted, NotFitted)
    away = np.array(main_figures(found)) - main_figures(refitted)
    assert np.abs(away / half_widths(refitted)).max() < 0.15
    assert found.runs == refitted.runs == 56


def test_the_budget_stands_at_the_class_value_though_a_bench_is_unlike_the_others() -> None:
    runs = [
        replace(run, shot_mass_kg=run.shot_mass_kg / 1000) if run.bench == "3" else run
        for run in simulated_runs(8)
    ]
    fit = fitted(runs)
    value = class_value(fit)
    assert at_medians(fit, False).middle == pytest.approx(value.apparent_heat_capacity_J_per_kg_K, rel=0.01)


@pytest.mark.parametrize(
    ("masses_kg", "apart"), [((0.45, 0.55), False), ((0.25, 0.8), True), ((0.5, 0.5), False)]
)
def test_the_planner_and_the_fit_agree_whether_the_shot_is_told_from_the_sink(
    masses_kg: tuple[float, float], apart: bool
) -> None:
    kit = Kit((Tube(1.0, None),) * 6)
    plans = [BenchPlan(str(i + 1), kit.tubes[i], kit.step_K(i), masses_kg[i % 2], 100, 3) for i in range(6)]
    prediction = predict(kit, plans)
    assert (prediction.not_separated_because is None) is apart
    assert (prediction.separated_half_width_J_per_kg_K is not None) is apart
    runs = simulated_runs(4, benches=6, masses_kg=masses_kg)
    assert analyse_class(runs, LEAD).separated.identifiable is apart


@pytest.mark.parametrize(
    ("key", "is_range"), [("steel", True), ("brass", True), ("lead", False), ("copper", False)]
)
def test_an_alloy_is_held_against_a_range_and_an_element_against_a_value(key: str, is_range: bool) -> None:
    metal = MATERIALS[key]
    settings = ClassSettings(
        material=key,
        accepted_J_per_kg_K=metal.accepted_J_per_kg_K,
        accepted_source="table",
        u_accepted_J_per_kg_K=metal.u_accepted_J_per_kg_K,
    )
    for u_accepted in (metal.u_accepted_J_per_kg_K, 0.05):
        found = alloy_range(replace(settings, u_accepted_J_per_kg_K=u_accepted))
        assert found == (metal.accepted_range_J_per_kg_K if is_range else None)
    assert alloy_range(replace(settings, u_accepted_J_per_kg_K=0.0)) is None


def test_a_run_is_in_its_own_room_else_in_the_class_s_else_in_the_other_runs() -> None:
    runs = [replace(run, room_temperature_C=23.0) if run.bench == "1" else run for run in perfect_runs()]
    of_runs, of_class = fitted(runs), fitted(runs, replace(LEAD, room_temperature_C=19.0))
    assert of_class.in_its_room(runs[0]).room_temperature_C == 23.0
    assert of_class.in_its_room(runs[-1]).room_temperature_C == 19.0
    assert of_runs.in_its_room(runs[-1]).room_temperature_C == 23.0


def test_two_benches_get_no_interval_and_nothing_that_speaks_of_one() -> None:
    result = analyse_class(simulated_runs(7, benches=2), LEAD)
    assert result.class_value is not None
    assert result.class_value.interval_95 is None
    assert result.with_wider_priors is None
    assert not any("rests on very little" in str(warning) for warning in result.warnings)
    assert not any(one.method == "run-level-fit" for one in result.estimates)


def test_four_benches_with_one_mass_get_a_class_value_and_no_specific_heat() -> None:
    data = as_plain_data(analyse_class(simulated_runs(7, benches=4, masses_kg=(0.5,)), LEAD))
    assert data["class_value"]["interval_95"] is not None
    wider = data["with_priors_twice_as_wide"]
    assert wider["class_value_J_per_kg_K"] is not None
    assert wider["specific_heat_J_per_kg_K"] is None
    assert "with benches of different masses the class could tell" in data["heat_ledger"]["note"]


@pytest.mark.parametrize(
    "settings",
    [
        replace(LEAD, length_sd_m=1e9),
        replace(LEAD, u_gravity_m_per_s2=1e9),
        replace(LEAD, thermometer_step_K=1e300),
    ],
)
def test_uncertainties_beyond_all_sense_get_an_answer_or_a_reason(settings: ClassSettings) -> None:
    as_plain_data(analyse_class(perfect_runs(), settings))
