"""The planner proposes what a metrologist would, prices every change, and refuses the impossible."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm

from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.prediction import BenchPlan, Prediction, predict
from app.analysis.plan.proposal import cost_of_change, propose
from app.physics.energy import settled_depth

TUBE = Tube(1.0, 0.04, 0.02)
KIT = Kit((TUBE,) * 12, leak_J_per_K_per_inversion=0.0)
"""Starts are planned so that the leak of each run is nothing."""
U_COMMON = (0.005**2 + 0.01**2) ** 0.5
"""Thermometers' scale and technique common to all, as `ClassSettings` has them where nothing is typed."""


def plans_with(masses: list[float], inversions: int = 60, runs: int = 3) -> list[BenchPlan]:
    return [BenchPlan(str(i + 1), TUBE, 0.1, mass, inversions, runs) for i, mass in enumerate(masses)]


def test_more_benches_get_the_heavy_shot_because_the_value_lies_beyond_it() -> None:
    """Elfving's design: weights as 1/m of the other end, here about 4 heavy to 1 light."""
    extremes = next(one for one in propose(KIT).alternatives if one.key == "extremes")
    masses = [plan.shot_mass_kg for plan in extremes.plans]
    assert len(set(masses)) == 2
    assert masses.count(max(masses)) > masses.count(min(masses)) >= 2


def test_two_extreme_masses_are_narrower_than_even_steps_and_a_third_mass_lies_between() -> None:
    proposal = propose(KIT)
    half = {one.key: one.prediction.separated_half_width_J_per_kg_K for one in proposal.alternatives}
    extremes, three, even = (half[key] or 0.0 for key in ("extremes", "three", "even"))
    assert 0 < extremes < three < even
    assert half["same"] is None
    assert proposal.why.values == {"percent": f"{100 * (three / extremes - 1):.0f}"}


def fitted_covariance(prediction: Prediction) -> np.ndarray:
    """Covariance of c and C in c* = c + C/m by statsmodels' weighted least squares, J/(kg·K) and J/K.

    Each bench's variance by the GUM's product rule (JCGM 100:2008, 5.1.6): technique, sinks that differ, and
    what three runs leave of a run's own scatter and of its reading. What is known of c and C beforehand are
    two more readings: half-normals of scale 5000 and 60, of variance (1 − 2/π)·scale² (closed form).
    """
    mass = np.array([bench.plan.shot_mass_kg for bench in prediction.benches])
    c_star = KIT.c + KIT.heat_sink_J_per_K / mass
    relative = np.array([
        KIT.technique_sd_bench**2
        + KIT.technique_sd_run**2 / 3
        + (bench.u_warming_K / bench.expected_warming_K) ** 2 / 3
        for bench in prediction.benches
    ]) + (KIT.sink_sd * KIT.heat_sink_J_per_K / mass / c_star) ** 2  # fmt: skip
    rows = np.vstack([np.column_stack([np.ones(len(mass)), 1 / mass]), np.eye(2)])
    weights = np.concatenate(
        [1 / (relative * c_star**2), 1 / ((1 - 2 / np.pi) * np.array([5000.0, 60.0]) ** 2)]
    )
    fit = sm.WLS(np.concatenate([c_star, np.zeros(2)]), rows, weights=weights).fit()
    return np.asarray(fit.normalized_cov_params)


def intercept_u(prediction: Prediction) -> float:
    """Standard error of c, J/(kg·K)."""
    return float(fitted_covariance(prediction)[0, 0] ** 0.5)


def class_u(prediction: Prediction) -> float:
    """Standard error of the harmonic mean of the c + C/m, by JCGM 100:2008, 5.2.2."""
    mass = np.array([bench.plan.shot_mass_kg for bench in prediction.benches])
    c_star = KIT.c + KIT.heat_sink_J_per_K / mass
    value = 1 / np.mean(1 / c_star)
    slope = value**2 * np.array([np.mean(1 / c_star**2), np.mean(1 / (c_star**2 * mass))])
    return float((slope @ fitted_covariance(prediction) @ slope) ** 0.5)


def own_half_width(prediction: Prediction, half: float | None, value: float) -> float:
    """A half-width without what all benches share: `U_COMMON`, and the rule that all use."""
    assert half is not None
    of_rule = KIT.length_sd_m / float(np.median([bench.fall_m for bench in prediction.benches]))
    shared = 1.96 * (U_COMMON**2 + of_rule**2) ** 0.5 * value
    return float((half**2 - shared**2) ** 0.5)


def separated_half_width(of: Prediction) -> float:
    return own_half_width(of, of.separated_half_width_J_per_kg_K, of.separated_J_per_kg_K)


def class_half_width(of: Prediction) -> float:
    return own_half_width(of, of.class_half_width_J_per_kg_K, of.class_value_J_per_kg_K)


def test_half_the_benches_at_each_end_are_narrower_than_four_even_steps_by_what_the_fit_says() -> None:
    """The half-widths are as the standard errors of the intercept: the same factor belongs to both plans."""
    ends = predict(KIT, plans_with([0.24, 0.88] * 6))
    steps = predict(KIT, plans_with([0.24, 0.453, 0.667, 0.88] * 3))
    ratio = separated_half_width(steps) / separated_half_width(ends)
    assert ratio == pytest.approx(intercept_u(steps) / intercept_u(ends), rel=5e-4)
    assert ratio > 1
    of_class = class_half_width(ends) / separated_half_width(ends)
    assert of_class == pytest.approx(class_u(ends) / intercept_u(ends), rel=5e-4)


def test_the_prediction_without_a_heat_sink_is_the_textbook_standard_error() -> None:
    """With C = 0 and equal benches: t(k−1)·√(median χ²/(k−1))·√(τ² + u²)/√k (Student 1908)."""
    kit = replace(KIT, heat_sink_J_per_K=0.0, technique_sd_run=0.0)
    prediction = predict(kit, plans_with([0.5] * 12, 60, 1))
    bench = prediction.benches[0]
    relative = (kit.technique_sd_bench**2 + (bench.u_warming_K / bench.expected_warming_K) ** 2) ** 0.5
    # t(11, 97.5 %) = 2.201 and median χ²(11) = 10.341 from printed tables (from memory).
    of_benches = 2.201 * (10.341 / 11) ** 0.5 * relative / 12**0.5
    of_tube = 1.96 * kit.length_sd_m / bench.fall_m
    expected = kit.c * (of_benches**2 + of_tube**2 + (1.96 * U_COMMON) ** 2) ** 0.5
    assert prediction.class_half_width_J_per_kg_K == pytest.approx(expected, rel=2e-3)


def test_the_expected_warming_counts_the_settled_shot_and_the_heat_sink() -> None:
    bench = predict(KIT, plans_with([0.5]))
    depth = settled_depth(0.5, 0.04, 11340)
    one = bench.benches[0]
    assert one.end_allowance_m == pytest.approx(0.02 + depth)
    energy = 9.80665 * (1 - 0.02 - depth) * 60
    assert one.expected_warming_K == pytest.approx(energy / (KIT.c + 20 / 0.5))
    assert one.start_temperature_C == pytest.approx(21 - one.expected_warming_K / 2)


def test_the_start_is_said_with_its_figure() -> None:
    proposal = propose(KIT)
    assert "below room temperature, half the expected warming" in str(proposal.start_advice)
    starts = {plan.start_temperature_C for plan in proposal.recommended.plans}
    assert all(start is not None and 15 < start < 21 for start in starts)


def test_a_coarse_thermometer_is_warned_about() -> None:
    few = predict(replace(KIT, thermometer_steps_K=(1.0,)), [
        BenchPlan("1", TUBE, 1.0, 0.5, 10, 1), BenchPlan("2", TUBE, 1.0, 0.5, 60, 1),
        BenchPlan("3", TUBE, 0.1, 0.5, 60, 1),
    ])  # fmt: skip
    assert [("cannot see" in str(w), "only a few steps" in str(w)) for w in few.warnings] == [
        (True, False),
        (False, True),
    ]


def test_a_change_of_plan_has_a_price() -> None:
    before = predict(KIT, plans_with([0.24, 0.88] * 6))
    worse = predict(KIT, plans_with([0.5, 0.88] * 6))
    cost = cost_of_change(before, worse)
    own = separated_half_width(worse) / separated_half_width(before)
    assert own == pytest.approx(intercept_u(worse) / intercept_u(before), rel=1e-4)
    assert cost is not None
    assert 1 < cost < own, "what all benches share is in both plans"
    assert cost_of_change(before, predict(KIT, plans_with([0.5] * 12))) is None


def test_the_same_mass_everywhere_cannot_be_separated_and_the_plan_says_what_to_change() -> None:
    prediction = predict(KIT, plans_with([0.5] * 12))
    assert prediction.separated_half_width_J_per_kg_K is None
    assert "half the mass" in str(prediction.not_separated_because)
    assert prediction.class_half_width_J_per_kg_K is not None


def test_the_shot_that_there_is_limits_the_masses() -> None:
    scarce = propose(replace(KIT, shot_available_kg=4.5))
    for one in scarce.alternatives:
        assert sum(plan.shot_mass_kg for plan in one.plans) <= 4.5 + 1e-9


def test_masses_lie_as_far_apart_as_tubes_and_shot_allow() -> None:
    """A quarter of 1 m of 30 mm bore, less caps, holds 0.25 · 0.98 · 6804 · π·0.015² = 1.178 kg of lead at a
    packing of 0.6 (from memory); 40 mm, four times that of 20 mm, twice as much and more."""
    for tube, low, high in (
        (Tube(1.0, end_allowance_m=0.06), 0.2, 1.2),
        (Tube(1.0, 0.03, 0.02), 0.2, 1.17),
        (Tube(1.0, 0.04, 0.02), 0.2, 1.2),
    ):
        for benches in (6, 12, 16):
            kit = Kit((tube,) * benches, least_mass_kg=0.2)
            found = {one.key: one for one in propose(kit).alternatives}["extremes"]
            assert {plan.shot_mass_kg for plan in found.plans} == {low, high}


def test_the_recipes_masses_take_a_third_off_the_width() -> None:
    """A first trial of the fit, by another program on a simulator of its own: half 0.2 and half 1.2 kg gave
    6.8 %, four masses of 0.24 to 0.88 kg 10.5 %."""
    kit = replace(
        Kit((Tube(1.0, end_allowance_m=0.08),) * 12),
        heat_sink_J_per_K=45.0,
        technique_sd_bench=0.02,
        technique_sd_run=0.02,
        sink_sd=0.08,
        reading_sd_K=0.05,
        depth_measured=True,
    )
    far, near = (
        predict(kit, plans_with(masses, 95)).separated_half_width_J_per_kg_K
        for masses in ([0.2, 1.2] * 6, [0.24, 0.45, 0.66, 0.88] * 3)
    )
    assert far is not None
    assert near is not None
    assert far / near == pytest.approx(6.8 / 10.5, rel=0.15)
    assert 100 * near / kit.c == pytest.approx(10.5, rel=0.1)


def test_scarce_shot_still_gives_two_masses_and_is_used_up() -> None:
    found = propose(Kit((TUBE,) * 12, shot_available_kg=3.6, least_mass_kg=0.2)).recommended
    masses = [plan.shot_mass_kg for plan in found.plans]
    assert max(masses) > 2 * min(masses)
    assert 3.4 < sum(masses) <= 3.6 + 1e-9


def test_the_time_that_there_is_limits_the_inversions() -> None:
    for minutes in (6.0, 12.0, 40.0):
        kit = replace(KIT, minutes=minutes)
        plan = propose(kit).recommended.plans[0]
        needed = plan.runs * (plan.inversions / kit.tips_per_minute + kit.minutes_beside_tipping)
        assert needed <= minutes + 1e-9
        assert plan.inversions <= kit.most_inversions


def test_heavy_shot_goes_into_the_tubes_that_hold_most() -> None:
    kit = Kit((Tube(0.8, 0.03, 0.02),) * 4 + (Tube(1.0, 0.05, 0.02),) * 6)
    plans = propose(kit).recommended.plans
    assert max(plan.shot_mass_kg for plan in plans[:4]) <= min(plan.shot_mass_kg for plan in plans[4:])
    either = Kit((Tube(0.8, 0.035),) * 2 + (Tube(1.0, 0.04),) * 6, least_mass_kg=0.2, most_mass_kg=0.9)
    for one in propose(either).alternatives:
        if one.key in {"extremes", "three"}:
            assert {plan.shot_mass_kg for plan in one.plans[:2]} == {0.2}


def test_four_runs_quarter_the_variance_of_readings_and_leave_that_of_the_bench() -> None:
    """Standard error of a mean of n: u/√n (textbook)."""
    quiet = replace(KIT, technique_sd_run=0.0, sink_sd=0.0, technique_sd_bench=0.0)
    one, four = (
        separated_half_width(predict(quiet, plans_with([0.3, 0.9] * 6, runs=runs))) for runs in (1, 4)
    )
    assert four == pytest.approx(one / 2, rel=1e-2)
    scattered = replace(KIT, technique_sd_run=0.0, sink_sd=0.0, thermometer_steps_K=(1e-6,))
    one, four = (
        separated_half_width(predict(scattered, [
            replace(plan, thermometer_step_K=1e-6) for plan in plans_with([0.3, 0.9] * 6, runs=runs)
        ])) for runs in (1, 4)
    )  # fmt: skip
    assert four == pytest.approx(one, rel=1e-3)


def test_fewer_than_four_benches_do_the_same_and_are_told_why() -> None:
    proposal = propose(Kit((TUBE,) * 3))
    assert proposal.recommended.key == "same"
    assert "four benches" in str(proposal.why)
