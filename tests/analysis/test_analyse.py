"""The whole analysis on classes whose truth is known."""

from __future__ import annotations

import pickle
from dataclasses import replace

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.views.runs import budget_lines
from tests.analysis.classes import LEAD, MASSES_KG, perfect_runs, simulated_runs


def test_a_perfect_class_with_one_mass_gives_its_apparent_heat_capacity() -> None:
    value = analyse_class(perfect_runs([0.5] * 8), LEAD).class_value
    assert value is not None
    assert value.interval_95 is not None
    assert value.apparent_heat_capacity_J_per_kg_K == pytest.approx(127.4 + 45.0 / 0.5, rel=2e-3)
    assert value.interval_95[0] < 127.4 + 45.0 / 0.5 < value.interval_95[1]
    assert (value.runs, value.benches) == (24, 8)


def test_a_perfect_class_with_planned_masses_is_separated() -> None:
    result = analyse_class(perfect_runs(), LEAD)
    assert result.separated.identifiable
    assert result.separated.heat_capacity_J_per_kg_K == pytest.approx(127.4, rel=0.02)
    assert result.separated.heat_sink_J_per_K == pytest.approx(45.0, rel=0.03)
    assert result.class_value is not None
    expected = 4 / sum(1 / (127.4 + 45.0 / mass) for mass in MASSES_KG)
    assert result.class_value.apparent_heat_capacity_J_per_kg_K == pytest.approx(expected, rel=2e-3)


def test_a_simulated_class_recovers_the_handbook_value_within_its_interval() -> None:
    apart = analyse_class(simulated_runs(5), LEAD).separated
    assert apart.interval_95 is not None
    assert apart.heat_capacity_J_per_kg_K == pytest.approx(127.4, rel=0.1)
    assert apart.interval_95[0] < 127.4 < apart.interval_95[1]


def test_a_wild_run_is_flagged_still_counted_and_its_slip_is_named() -> None:
    runs = simulated_runs(5)
    runs[4] = replace(runs[4], inversions=25.0)
    result = analyse_class(runs, LEAD)
    flagged = [i for i, run in enumerate(result.runs) if run.flags]
    assert flagged == [4]
    slip = result.runs[4].suspected_slip
    assert slip is not None
    assert (slip.slip, slip.field, slip.as_entered, slip.corrected) == (
        "inversions-halved",
        "inversions",
        25.0,
        50.0,
    )
    assert result.class_value is not None
    assert result.class_value_without_flagged is not None
    assert result.class_value.runs == 36
    assert result.class_value_without_flagged.runs == 35


def test_a_run_without_warming_has_no_heat_capacity_and_enters_the_fit() -> None:
    runs = perfect_runs([0.5] * 6)
    runs[0] = replace(runs[0], end_temperature_C=20.0)
    result = analyse_class(runs, LEAD)
    assert result.runs[0].apparent_heat_capacity_J_per_kg_K is None
    assert result.runs[0].absent_because is not None
    assert result.runs[0].flags[0].rule == "no-warming"
    assert result.class_value is not None
    assert result.class_value.runs == 18
    # It is in the fit, which finds it unlike the others.
    assert result.class_value.apparent_heat_capacity_J_per_kg_K == pytest.approx(127.4 + 45.0 / 0.5, rel=5e-3)


def test_a_run_set_aside_is_worked_out_and_not_counted() -> None:
    runs = perfect_runs([0.5] * 6)
    runs[3] = replace(runs[3], end_temperature_C=40.0, set_aside=True)
    result = analyse_class(runs, LEAD)
    assert result.class_value is not None
    assert result.class_value.runs == 17
    assert result.class_value.apparent_heat_capacity_J_per_kg_K == pytest.approx(127.4 + 45.0 / 0.5, rel=2e-3)
    assert result.runs[3].apparent_heat_capacity_J_per_kg_K is not None


def test_the_method_names_the_fit_and_its_priors() -> None:
    cold, known = perfect_runs(), replace(LEAD, room_temperature_C=21.0)
    for settings, leak in ((LEAD, False), (known, True)):
        value = analyse_class(cold, settings).class_value
        assert value is not None
        assert "half-normal priors" in value.method
        assert ("λ·N·θ" in value.method) is leak
        assert "%" not in value.method.replace("95 %", "")


def test_the_budget_of_the_class_is_of_the_figure_that_is_shown() -> None:
    """With one mass the class value's, whose sum is its own uncertainty; ranked and adding up."""
    for masses, separated in (([0.5] * 8, False), (MASSES_KG * 3, True)):
        result = analyse_class(simulated_runs(5, benches=len(masses), masses_kg=tuple(masses)), LEAD)
        assert result.separated.identifiable is separated
        shares = [line.share_of_variance for line in result.class_budget]
        assert sum(shares) == pytest.approx(1.0)
        assert shares == sorted(shares, reverse=True)
        shown = result.separated if separated else result.class_value
        assert shown is not None
        assert shown.interval_95 is not None
        # What is warned of and not in the interval: the same allowance for all masses, and an unknown room.
        inside = [line for line in result.class_budget if line.source not in ("end-allowance", "room")]
        u = sum(line.standard_uncertainty_J_per_kg_K**2 for line in inside) ** 0.5
        low, high = shown.interval_95
        assert u == pytest.approx((high - low) / 3.92, rel=0.15)


def test_benches_that_scatter_just_as_they_must_have_no_scatter_of_their_own() -> None:
    # Σ(w − w̄)² = 0.5²·5/6 is exactly five times u(w)² = 0.5²/6: Q(0) = k − 1 but for rounding.
    warmings = (2.5, 2.5, 2.5, 2.5, 3.0, 2.5)
    runs = [RunReadings(str(b), "1", 0.4, 1.0, 0.08, 50, 19.0, 19.0 + w) for b, w in enumerate(warmings)]
    estimates = analyse_class(runs, replace(LEAD, thermometer_step_K=0.5)).estimates
    by_method = {estimate.method: estimate.between_bench_sd_J_per_kg_K for estimate in estimates}
    assert list(by_method) == ["run-level-fit", "plain-mean", "random-effects"]
    assert by_method["random-effects"] == 0.0
    assert by_method["plain-mean"] > 0.0


def test_one_bench_has_no_interval_and_two_show_both_values() -> None:
    one = analyse_class(perfect_runs([0.5]), LEAD).class_value
    assert one is not None
    assert one.interval_95 is None
    assert one.interval_absent_because is not None
    two = analyse_class(perfect_runs([0.3, 0.6]), LEAD).class_value
    assert two is not None
    assert two.interval_95 is None
    assert "202 and 277" in str(two.interval_absent_because)


def test_one_mass_for_all_is_not_identifiable_and_the_reason_says_what_to_change() -> None:
    apart = analyse_class(perfect_runs([0.5] * 8), LEAD).separated
    assert not apart.identifiable
    assert apart.heat_capacity_J_per_kg_K is None
    assert "a third of the mass" in str(apart.reason)


def test_a_result_can_be_copied_and_compared() -> None:
    result = analyse_class(simulated_runs(5), LEAD)
    assert pickle.loads(pickle.dumps(result)) == result
    assert analyse_class(simulated_runs(5), LEAD) == result
    with pytest.raises(AttributeError):
        result.runs[0].warming_K = 1.0  # type: ignore[misc]
    assert result.line is not None
    assert len(result.line.points) == len(result.runs)


def test_the_budget_adds_up_to_the_standard_uncertainty() -> None:
    settings = replace(LEAD, u_gravity_m_per_s2=0.01, reading_sd_K=0.02)
    run = analyse_class(simulated_runs(5), settings).runs[0]
    assert run.budget is not None
    lines = budget_lines(run, settings)
    assert [line.unit for line in lines] == ["K", "K", "m", "m/s²", "1", "1"]
    assert [line.contribution_J_per_kg_K > 0 for line in lines] == [True] * 4 + [False, True]
    total = sum(line.contribution_J_per_kg_K**2 for line in lines) ** 0.5
    assert total == pytest.approx(run.standard_uncertainty_J_per_kg_K, rel=1e-12)


def test_a_budget_names_the_step_of_the_bench_s_own_thermometer() -> None:
    runs = simulated_runs(5)
    own = analyse_class([replace(runs[0], thermometer_step_K=0.5), *runs[1:]], LEAD).runs[0]
    step = budget_lines(own, LEAD)[0]
    assert own.budget is not None
    # Of a difference of two readings, each even within a step: JCGM 100:2008, 4.3.7.
    assert step.u_input == pytest.approx(0.5 / 6**0.5)
    assert step.contribution_J_per_kg_K / step.u_input == pytest.approx(
        (own.apparent_heat_capacity_J_per_kg_K or 0) / own.warming_K
    )


def test_a_class_without_any_warming_has_no_value_and_says_why() -> None:
    runs = [replace(run, end_temperature_C=run.start_temperature_C) for run in perfect_runs([0.5] * 6)]
    result = analyse_class(runs, LEAD)
    assert result.class_value is None
    assert result.class_value_absent_because is not None
    assert result.class_value_absent_because in result.warnings
    assert result.line is None
    assert result.ledger is None
    assert not result.separated.identifiable


def test_nothing_at_all_is_an_answer_too() -> None:
    result = analyse_class([], LEAD)
    assert result.runs == ()
    assert result.class_value is None
    assert [str(warning) for warning in result.warnings] == ["There are no runs."]


@pytest.mark.parametrize("seed", range(12))
def test_the_ledgers_sentence_shares_out_the_whole_of_the_energy(seed: int) -> None:
    ledger = analyse_class(simulated_runs(seed, heat_sink_J_per_K=30.0), LEAD).ledger
    assert ledger is not None
    assert sum(ledger.percents) == 100
    values = ledger.note.values
    for name, share in zip(("shot", "sink"), (ledger.shot, ledger.heat_sink or 0.0), strict=True):
        assert name not in values or abs(int(values[name]) - 100 * share) <= 1
    rest = int(values["rest"]) * (1 if ledger.unaccounted >= 0 else -1)
    assert int(values["shot"]) + int(values["sink"]) + rest == 100


@pytest.mark.parametrize(
    ("settings", "why"),
    [
        (replace(LEAD, thermometer_step_K=5.0), "the warming is too small for this thermometer"),
        (replace(LEAD, length_sd_m=0.6), "the length of the fall is not known well enough"),
    ],
)
def test_a_run_without_an_upper_end_says_why(settings: ClassSettings, why: str) -> None:
    for run in analyse_class(perfect_runs([0.5] * 6), settings).runs:
        assert run.interval_95 is None
        assert run.apparent_heat_capacity_J_per_kg_K is not None
        assert str(run.interval_absent_because).lower().startswith(why)
    sharp = analyse_class(perfect_runs([0.5] * 6), LEAD).runs
    assert all(run.interval_95 and run.interval_absent_because is None for run in sharp)


def test_a_run_without_warming_has_one_reason_only() -> None:
    runs = perfect_runs([0.5] * 6)
    runs[0] = replace(runs[0], end_temperature_C=runs[0].start_temperature_C)
    cold = analyse_class(runs, replace(LEAD, thermometer_step_K=5.0)).runs[0]
    assert cold.absent_because is not None
    assert cold.interval_absent_because is None
