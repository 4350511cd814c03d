"""The closed form of a bench's likelihood against scipy's multivariate normal, summed case by case."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from scipy import integrate, stats
from scipy.special import logsumexp

from app.analysis.columns import columns
from app.analysis.fit.class_fit import class_model
from app.analysis.fit.model import ClassModel, Priors
from app.analysis.fit.stacked import which_are_alike
from tests.analysis.fit.rooms import LEAD, a_room
from tests.simulated_room import Room

POINT = (220.0, 0.4, 0.03, 0.02, 0.1, 0.07)
"""S, f, τ, σ, κ, λ."""


STEPS_K = (0.1, 0.1, 0.5)
"""Of the thermometers that a bench used for its three runs."""


def a_model(runs: int = 3, priors: Priors | None = None) -> ClassModel:
    readings = a_room(3, Room(benches=2, runs=runs, leak_J_per_K_per_inversion=0.1, start_above_room_K=2.0))
    if runs == 3:
        readings = [
            replace(run, thermometer_step_K=step) for run, step in zip(readings, STEPS_K * 2, strict=True)
        ]
    return class_model(columns(readings, LEAD), LEAD, Priors() if priors is None else priors)


def test_a_benchs_likelihood_is_the_sum_over_all_cases() -> None:
    model = a_model()
    (stack,), priors = model.stacks, model.priors
    points = model.point(*POINT)[None, :]
    values = model.parameters(points)
    total, share, bench_sd, run_sd, sink_sd, leak = POINT
    c, sink = total * (1 - share), total * share / model.typical_per_mass
    for bench in range(2):
        x, n, e = stack.per_mass[bench], stack.inversions[bench], stack.energy_J_per_kg[bench]
        # The energy balance, solved for w: e = (c + C·x)·w + λ·x·N·(θ₀ + w/2).
        expected = (e - leak * x * n * stack.start_above_room_K[bench]) / (c + sink * x + leak * x * n / 2)
        # Two readings to the nearest mark, and the reader's scatter (JCGM 100:2008, 4.3.7).
        steps = np.array([STEPS_K[run % 3] for run in stack.run[bench].tolist()])
        u_warming = np.sqrt(2 * (np.square(steps) / 12 + LEAD.reading_sd_K**2))
        falls = e / (c + sink * x + leak * x * n / 2)
        sink_share = sink * np.median(x) / (c + sink * np.median(x))
        likelihood = 0.0
        for alike in product((True, False), repeat=3):
            keep = np.array(alike)
            typical = model.typical_slope * e[~keep]
            width = np.hypot(priors.unlike_run_width * typical, u_warming[~keep])
            unlike = stats.t.pdf(stack.warming_K[bench][~keep], 3, typical, width).prod()
            for extra, probability in ((0.0, 1 - priors.unlike_bench), (0.3**2, priors.unlike_bench)):
                variance = bench_sd**2 + (sink_sd * sink_share) ** 2 + extra
                covariance = variance * np.outer(falls, falls)[np.ix_(keep, keep)] + np.diag(
                    run_sd**2 * falls[keep] ** 2 + u_warming[keep] ** 2
                )
                normal = (
                    stats.multivariate_normal.pdf(stack.warming_K[bench][keep], expected[keep], covariance)
                    if keep.any()
                    else 1.0
                )
                in_this_case = 0.97 ** keep.sum() * 0.03 ** (~keep).sum() * probability
                likelihood += in_this_case * unlike * normal
        found = logsumexp(model.log_cases(stack, values)[0, bench])
        assert found == pytest.approx(np.log(likelihood), rel=1e-9)


def test_the_coordinates_carry_the_priors() -> None:
    """Without readings τ, σ and λ are half-normal and κ half Student t: integrals of exp(log_prior)."""
    model = replace(a_model(), stacks=())
    scales = model.priors
    for place, (name, distribution) in enumerate(
        (
            ("bench_sd", stats.halfnorm(scale=scales.bench_sd)),
            ("run_sd", stats.halfnorm(scale=scales.run_sd)),
            ("sink_sd", None),
            ("leak", stats.halfnorm(scale=scales.leak_J_per_K_per_inversion)),
        ),
        start=2,
    ):
        for score in (-1.5, 0.0, 1.0):
            point = np.zeros((1, 6))
            point[0, place] = score
            value = float(getattr(model.parameters(point), name)[0])
            if distribution is None:
                below = 2 * stats.t(2).cdf(value / scales.sink_sd) - 1
            else:
                below = distribution.cdf(value)
            assert below == pytest.approx(stats.norm.cdf(score), abs=1e-9)


def test_the_prior_is_flat_in_the_specific_heat_and_half_normal_in_the_sink() -> None:
    """Mass of {c < 100, C < 30} against that of {c < 200, C < 60}: by integration over the coordinates."""
    model = replace(a_model(), stacks=())

    def mass(most_c: float, most_sink: float) -> float:
        grid_total, grid_probit = np.linspace(-2, 6.5, 1200), np.linspace(-6, 6, 600)
        points = np.zeros((len(grid_total) * len(grid_probit), 6))
        points[:, 0] = np.repeat(grid_total, len(grid_probit))
        points[:, 1] = np.tile(grid_probit, len(grid_total))
        values = model.parameters(points)
        inside = (values.heat_capacity < most_c) & (values.heat_sink < most_sink)
        densities = np.exp(model.log_prior(points, values)) * inside
        surface = densities.reshape(len(grid_total), len(grid_probit))
        return float(integrate.trapezoid(integrate.trapezoid(surface, grid_probit), grid_total))

    sink = stats.halfnorm(scale=60.0)
    expected = 100 * sink.cdf(30) / (200 * sink.cdf(60))
    assert mass(100, 30) / mass(200, 60) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(("runs", "cases"), [(1, 2), (2, 4), (3, 8), (4, 16), (5, 19), (6, 26), (12, 47)])
def test_the_cases_of_a_bench(runs: int, cases: int) -> None:
    """Up to four runs all subsets; beyond, at most two unlike, and the three, four, … oddest together."""
    alike = which_are_alike(runs)
    assert alike.shape == (cases, runs)
    assert len({tuple(row) for row in alike.tolist()}) == cases
    assert alike.all(axis=1).any()
    assert (~alike.astype(bool)).all(axis=1).any()


def test_a_run_unlike_the_others_says_nothing_about_the_parameters() -> None:
    model = a_model()
    (stack,) = model.stacks
    points = np.stack([model.point(*POINT), model.point(300.0, 0.1, 0.1, 0.05, 0.01, 0.01)])
    all_unlike = int(np.flatnonzero(~stack.alike.any(axis=1))[0])
    cases = model.log_cases(stack, model.parameters(points))[:, :, all_unlike]
    assert cases[0] == pytest.approx(cases[1], rel=1e-12)


def test_half_of_all_classes_are_expected_to_scatter_leak_and_differ_less_than_this() -> None:
    """Medians of half-normals of 0.06, 0.05 and 0.1 J/K and of a half Student t (2 degrees of freedom) of
    0.06: scipy.stats."""
    halfway = a_model().parameters(np.zeros((1, 6)))
    assert float(halfway.bench_sd[0]) == pytest.approx(stats.halfnorm(scale=0.06).median())
    assert float(halfway.run_sd[0]) == pytest.approx(stats.halfnorm(scale=0.05).median())
    assert float(halfway.leak[0]) == pytest.approx(stats.halfnorm(scale=0.1).median())
    assert float(halfway.sink_sd[0]) == pytest.approx(0.06 * stats.t(2).ppf(0.75))
    priors = Priors()
    assert (priors.unlike_run, priors.unlike_bench, priors.unlike_bench_sd) == (0.03, 0.03, 0.3)
    assert (priors.heat_capacity_J_per_kg_K, priors.heat_sink_J_per_K, priors.unlike_run_width) == (
        5000,
        60,
        0.5,
    )


def test_priors_twice_as_wide_are_so_in_every_scale_and_in_nothing_else() -> None:
    before, after = vars(Priors()), vars(Priors().twice_as_wide())
    scales = {"heat_sink_J_per_K", "leak_J_per_K_per_inversion", "bench_sd", "run_sd", "sink_sd"}
    assert {name for name in before if after[name] != before[name]} == scales
    assert {after[name] / before[name] for name in scales} == {2.0}


def test_a_start_for_the_search_is_never_farther_out_than_four() -> None:
    point = a_model().point(220.0, 1e-12, 1e-12, 5.0, 1e-12, 9.0)
    assert point[0] == pytest.approx(np.log(220.0))
    assert np.abs(point[1:]) == pytest.approx(np.full(5, 4.0))
