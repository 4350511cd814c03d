"""The linear model against what one run by itself says."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from app.analysis.fit.linear import (
    BENCH_TECHNIQUE,
    PRIORS,
    ROOM,
    RUN_TECHNIQUE,
    SINKS,
    THERMOMETER,
    Layout,
    Point,
    linear,
)
from app.analysis.fit.model import Priors


@pytest.mark.parametrize("start_above_room_K", [0.0, -2.0, 3.0])
def test_one_run_with_a_leak_is_as_uncertain_as_its_thermometer_makes_it(start_above_room_K: float) -> None:
    """Of c = (e − λNθ₀/m)/w − C/m − λN/(2m), with C and λ known, u(c) is (e − λNθ₀/m)/w²·u(w)."""
    run = Layout(
        bench=np.array([0]),
        energy_J_per_kg=np.array([500.0]),
        per_mass=np.array([2.0]),
        inversions=np.array([50.0]),
        start_above_room_K=np.array([start_above_room_K]),
        weight=np.array([1.0]),
        u_warming_K=np.array([0.04]),
        with_leak=True,
    )
    point = Point(heat_capacity=130.0, heat_sink=20.0, leak=0.2, bench_sd=0.0, run_sd=0.0, sink_sd=0.0)
    known = replace(
        Priors(), heat_capacity_J_per_kg_K=1e6, heat_sink_J_per_K=1e-6, leak_J_per_K_per_inversion=1e-9
    )
    gained = 500.0 - 0.2 * 50.0 * start_above_room_K * 2.0
    warming = gained / (130.0 + 2.0 * 20.0 + 0.5 * 0.2 * 2.0 * 50.0)
    found = linear(run, point, known, np.array([1.0, 0.0, 0.0])).variance[THERMOMETER]
    assert found**0.5 == pytest.approx(gained / warming**2 * 0.04, rel=1e-3)


CLASS = Layout(
    bench=np.array([0, 0, 1, 1, 1, 2, 3, 3]),
    energy_J_per_kg=np.array([450.0, 450.0, 520.0, 520.0, 520.0, 700.0, 480.0, 480.0]),
    per_mass=np.array([4.0, 4.0, 2.2, 2.2, 2.2, 1.5, 1.1, 1.1]),
    inversions=np.array([50.0, 50.0, 58.0, 58.0, 58.0, 78.0, 53.0, 53.0]),
    start_above_room_K=np.array([-1.0, -1.0, 2.5, 2.5, 2.5, -2.0, 1.0, 1.0]),
    weight=np.ones(8),
    u_warming_K=np.array([0.04, 0.04, 0.04, 0.2, 0.04, 0.04, 0.04, 0.04]),
    with_leak=True,
)
AT = Point(heat_capacity=128.0, heat_sink=45.0, leak=0.05, bench_sd=0.03, run_sd=0.02, sink_sd=0.1)
SOURCES = (BENCH_TECHNIQUE, SINKS, RUN_TECHNIQUE, THERMOMETER)


def run_by_run(plan: Layout, at: Point, priors: Priors, gradient: np.ndarray) -> dict[str, float]:
    """Generalized least squares over the runs, with a matrix for each source, and information of the priors
    ((1 − 2/π)·scale² is the variance of a half-normal)."""
    x, e = plan.per_mass, plan.energy_J_per_kg
    through = at.heat_capacity + at.heat_sink * x + 0.5 * at.leak * x * plan.inversions
    w = (e - at.leak * x * plan.inversions * plan.start_above_room_K) / through
    answers = np.stack(
        [w / e, w * x / e, x * plan.inversions * (plan.start_above_room_K + w / 2) / e], axis=1
    )
    together = (plan.bench[:, None] == plan.bench[None, :]).astype(float)
    share = at.heat_sink * x / through
    matrices = {
        BENCH_TECHNIQUE: at.bench_sd**2 * together,
        SINKS: at.sink_sd**2 * together * np.outer(share, share),
        RUN_TECHNIQUE: np.diag(at.run_sd**2 * np.ones(len(e))),
        THERMOMETER: np.diag((plan.u_warming_K * through / e) ** 2),
    }
    scales = (priors.heat_capacity_J_per_kg_K, priors.heat_sink_J_per_K, priors.leak_J_per_K_per_inversion)
    prior = np.diag([1 / ((1 - 2 / np.pi) * scale**2) for scale in scales])
    inverse = np.linalg.inv(sum(matrices.values()))
    covariance = np.linalg.inv(answers.T @ inverse @ answers + prior)
    pull = gradient @ covariance @ answers.T @ inverse
    found = {source: float(pull @ matrix @ pull) for source, matrix in matrices.items()}
    of_priors = (gradient @ covariance) ** 2 * np.diag(prior)
    return {**found, PRIORS: float(of_priors[:2].sum()), ROOM: float(of_priors[2])}


@pytest.mark.parametrize("gradient", [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 2.0, 0.0), (0.0, 0.0, 1.0)])
def test_the_variance_of_each_source_is_that_of_least_squares_run_by_run(
    gradient: tuple[float, float, float],
) -> None:
    """Benches are summed up first; where the runs of each are planned alike, that loses nothing."""
    own = np.array(gradient)
    found, expected = linear(CLASS, AT, Priors(), own).variance, run_by_run(CLASS, AT, Priors(), own)
    assert set(found) == set(expected)
    for source in SOURCES:
        assert found[source] == pytest.approx(expected[source], rel=1e-9), source
    assert found[PRIORS] == pytest.approx(expected[PRIORS], rel=1e-9)
    assert found[ROOM] == pytest.approx(expected[ROOM], rel=1e-9)


def test_a_run_that_half_counts_is_worth_half_a_run() -> None:
    """Two runs alike, each of weight ½, leave the run's errors of one; the bench's stay as they are."""
    one = replace(
        CLASS,
        **{
            name: getattr(CLASS, name)[[0, 2, 5, 6]]
            for name in vars(CLASS)
            if name not in ("with_leak", "bench")
        },
        bench=np.arange(4),
    )
    twice: dict[str, Any] = {
        name: np.repeat(getattr(one, name), 2) for name in vars(one) if name != "with_leak"
    }
    halves = replace(one, **twice)
    halves = replace(halves, weight=np.full(8, 0.5))
    gradient = np.array([1.0, 0.0, 0.0])
    whole, parts = (linear(plan, AT, Priors(), gradient).variance for plan in (one, halves))
    assert parts == pytest.approx(whole, rel=1e-9)


def test_without_a_room_temperature_nothing_is_left_to_the_room() -> None:
    unknown = replace(CLASS, with_leak=False)
    variance = linear(unknown, replace(AT, leak=0.0), Priors(), np.array([1.0, 0.0, 0.0])).variance
    assert variance[ROOM] == 0.0
    known = replace(Priors(), leak_J_per_K_per_inversion=1e-9)
    same = linear(replace(unknown, with_leak=True), replace(AT, leak=0.0), known, np.array([1.0, 0.0, 0.0]))
    for source in SOURCES:
        assert variance[source] == pytest.approx(same.variance[source], rel=1e-6)
