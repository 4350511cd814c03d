"""The figures of a class result are those of `app.statistics` for its runs, and pooling is pooling."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from app.analysis.analyse import analyse_class
from app.analysis.bench_table import bench_table
from app.analysis.columns import columns
from app.physics.simulation.a_class import SimulatedBench, SimulatedPractical, simulate_class
from app.statistics.influence import influence
from app.statistics.lines import line_through_origin, line_with_offset
from app.statistics.robust import huber_line
from app.statistics.spread import (
    anova,
    cochran_critical,
    consistency,
    mandel_h_critical,
    mandel_k_critical,
)
from tests.analysis.classes import LEAD, MASSES_KG, perfect_runs, readings, simulated_runs
from tests.even_class import even_class
from tests.oracles.pooling import pool

SEEDS = range(6)


def a_class(seed, inversions=(50,)):
    """Benches with unequal numbers of runs, one with a single run; the counts dealt out to the benches."""
    pattern = SimulatedBench("", end_allowance_m=0.08)
    benches = [
        replace(bench, inversions=inversions[i % len(inversions)])
        for i, bench in enumerate(even_class(12, 3, MASSES_KG, pattern))
    ]
    practical = SimulatedPractical(
        benches=tuple(benches),
        heat_sink_J_per_K=45.0,
        technique_sd_bench=0.05,
        thermometer_step_K=0.1 if seed % 2 else 0.5,
    )
    runs = [readings(run.recorded) for run in simulate_class(np.random.default_rng(seed), practical)]
    return [run for i, run in enumerate(runs) if i not in (1, 2, 7)]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("inversions", [(50,), (40, 60, 80, 100, 120)])
def test_the_straight_line_view(seed, inversions):
    runs = a_class(seed, inversions)
    cols, line = columns(runs, LEAD), analyse_class(runs, LEAD).line
    e, w, n = cols.energy, cols.warming, len(cols.energy)
    u_e, u_w = e * cols.u_fall / cols.fall, np.full(n, cols.u_warming)
    fit = line_through_origin(e, w, u_e, u_w)
    assert line.slope_K_kg_per_J == pytest.approx(fit.slope, rel=1e-9)
    assert line.u_slope_K_kg_per_J == pytest.approx(fit.u_slope * max(1.0, fit.birge), rel=1e-9)
    weights = 1 / (u_w**2 + fit.slope**2 * u_e**2)
    if len(inversions) == 1:
        offsets = line.offset_K, line.u_offset_K, line.slope_with_offset_K_kg_per_J
        assert offsets == (None, None, None), "energies all alike show no offset"
    else:
        level = line_with_offset(e, w, weights, least_sd=1.0)
        assert line.offset_K == pytest.approx(level.intercept, rel=1e-6)
        assert line.slope_with_offset_K_kg_per_J == pytest.approx(level.slope, rel=1e-6)
        assert line.u_offset_K == pytest.approx(level.u_intercept, rel=1e-6)
    assert line.robust_slope_K_kg_per_J == pytest.approx(huber_line(e, w).slope, rel=1e-5)
    found = influence(e, w, weights)
    assert [p.leverage for p in line.points] == pytest.approx(list(found.leverage), rel=1e-9)
    assert [p.residual_K for p in line.points] == pytest.approx(list(w - fit.slope * e), abs=1e-7)
    assert [p.studentized_residual for p in line.points] == pytest.approx(found.studentized, rel=1e-9)
    assert [p.cooks_distance for p in line.points] == pytest.approx(found.cooks_distance, rel=1e-9)


def test_runs_that_scatter_little_do_not_narrow_the_line():
    line = analyse_class(perfect_runs([0.5] * 6), LEAD).line
    cols = columns(perfect_runs([0.5] * 6), LEAD)
    fit = line_through_origin(
        cols.energy, cols.warming, cols.energy * cols.u_fall / cols.fall, cols.u_warming
    )
    assert fit.birge < 0.1
    assert line.u_slope_K_kg_per_J == pytest.approx(fit.u_slope, rel=1e-9)


def test_runs_without_any_scatter_leave_the_offset_the_uncertainty_of_their_readings():
    runs = [*perfect_runs([0.5] * 3, inversions=40), *perfect_runs([0.5] * 3, inversions=60)]
    cols, line = columns(runs, LEAD), analyse_class(runs, LEAD).line
    e = cols.energy
    weights = 1 / (cols.u_warming**2 + (line.slope_K_kg_per_J * e * cols.u_fall / cols.fall) ** 2)
    mean = np.average(e, weights=weights)
    # The closed form of weighted least squares with known uncertainties.
    expected = np.sqrt(1 / weights.sum() + mean**2 / (weights @ (e - mean) ** 2))
    assert line.u_offset_K == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_spread_within_and_between_benches(seed):
    result = analyse_class(a_class(seed), LEAD)
    groups: dict[str, list[float]] = {}
    for run in result.runs:
        groups.setdefault(run.readings.bench, []).append(run.apparent_heat_capacity_J_per_kg_K)
    table, found = anova(list(groups.values())), consistency(list(groups.values()))
    assert result.spread.repeatability_sd == pytest.approx(table.s_r, rel=1e-9)
    assert result.spread.between_bench_sd == pytest.approx(table.s_L, rel=1e-9)
    assert result.spread.reproducibility_sd == pytest.approx(table.s_R, rel=1e-9)
    assert result.spread.cochran_C == pytest.approx(found.cochran_C, rel=1e-9)
    assert [b.mandel_h for b in result.benches] == pytest.approx(list(found.h), rel=1e-9)
    for bench, k in zip(result.benches, found.k, strict=True):
        assert bench.mandel_k == (None if k is None else pytest.approx(k, rel=1e-9))


def test_critical_values_of_a_class_with_equal_numbers_of_runs():
    spread = analyse_class(simulated_runs(3), LEAD).spread
    assert spread.mandel_h_critical == pytest.approx(mandel_h_critical(12, 0.01), rel=1e-9)
    assert spread.mandel_k_critical == pytest.approx(mandel_k_critical(12, 3, 0.01), rel=1e-9)
    assert spread.cochran_C_critical == pytest.approx(cochran_critical(12, 3, 0.01), rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_estimates_beside_the_fit(seed):
    """The random-effects mean is `pool`'s (published cases), the plain mean's interval scipy's t interval."""
    runs = simulated_runs(seed, benches=9, masses_kg=(0.5,), thermometer_step_K=0.1, technique_sd_bench=0.05)
    table, result = bench_table(columns(runs, LEAD), LEAD), analyse_class(runs, LEAD)
    fit, plain, effects = result.estimates
    assert [one.method for one in result.estimates] == ["run-level-fit", "plain-mean", "random-effects"]
    assert fit.apparent_heat_capacity_J_per_kg_K == result.class_value.apparent_heat_capacity_J_per_kg_K
    pooled = pool(table.slope, np.sqrt(table.variance), "paule-mandel")
    assert effects.apparent_heat_capacity_J_per_kg_K == pytest.approx(1 / pooled.mean, rel=1e-6)
    assert pooled.tau is not None
    between = pooled.tau / pooled.mean**2  # of a reciprocal, to first order
    assert effects.between_bench_sd_J_per_kg_K == pytest.approx(between, rel=1e-4)
    means = [
        np.mean([r.apparent_heat_capacity_J_per_kg_K for r in result.runs if r.readings.bench == bench.bench])
        for bench in result.benches
    ]
    expected = stats.t.interval(0.95, 8, np.mean(means), stats.sem(means))
    assert plain.apparent_heat_capacity_J_per_kg_K == pytest.approx(np.mean(means), rel=1e-12)
    assert plain.interval_95 == pytest.approx(expected, rel=1e-9)
    assert plain.between_bench_sd_J_per_kg_K == pytest.approx(np.std(means, ddof=1), rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_fit_of_an_even_class_is_near_the_random_effects_mean(seed):
    """One mass, no odd run: both describe the same class (`fit/test_limit.py` has the limit)."""
    runs = simulated_runs(seed, benches=12, masses_kg=(0.5,), technique_sd_bench=0.03)
    alone = replace(LEAD, thermometer_scale=0.0, common_technique=0.0)
    fit, _, effects = analyse_class(runs, alone).estimates
    low, high = effects.interval_95
    away = fit.apparent_heat_capacity_J_per_kg_K - effects.apparent_heat_capacity_J_per_kg_K
    assert abs(away) < 0.2 * (high - low)
    assert fit.interval_95[1] - fit.interval_95[0] == pytest.approx(high - low, rel=0.5)
