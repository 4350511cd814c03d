"""Random effects against ordinary pooling, the published trial set, and by definition."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtri

from app.statistics.random_effects import RandomEffects
from tests.oracles.pooling import pool

MEANS = np.array([121.4, 133.8, 128.2, 140.1, 125.5])
U = np.array([6.1, 5.2, 8.4, 4.9, 7.0])


@pytest.mark.parametrize("method", ["paule-mandel", "dersimonian-laird", "reml"])
def test_one_regressor_of_ones_is_the_ordinary_pooled_mean(method: str) -> None:
    effects = RandomEffects(MEANS, U**2, np.ones(5))
    line = {
        "paule-mandel": effects.paule_mandel,
        "dersimonian-laird": effects.dersimonian_laird,
        "reml": effects.reml,
    }[method]()
    other = pool(MEANS, U, method)  # type: ignore[arg-type]
    assert line.beta1 == pytest.approx(other.mean, rel=1e-6)
    assert line.tau2 == pytest.approx(other.tau2, rel=1e-5)
    assert line.u_beta1 == pytest.approx(other.u_fixed_tau, rel=1e-6)
    assert other.interval_95 is not None
    assert line.beta1 + line.reach * line.u_beta1 == pytest.approx(other.interval_95[1], rel=1e-6)


def test_without_bench_scatter_the_interval_is_never_narrower_than_the_known_errors_give() -> None:
    line = RandomEffects(
        np.array([129.0, 131.0, 128.0, 130.5]), np.array([36.0, 25, 64, 49]), np.ones(4)
    ).paule_mandel()
    assert line.tau2 == 0.0
    assert line.reach == pytest.approx(ndtri(0.95), rel=1e-12)


def test_a_line_with_bench_scatter_meets_its_definition() -> None:
    rng = np.random.default_rng(2)
    z2 = np.linspace(1.0, 4.0, 12)
    y = 120.0 + 45.0 * z2 + rng.normal(0, 6, 12)
    v = np.full(12, 4.0) * rng.uniform(0.5, 2, 12)
    line = RandomEffects(y, v, np.ones(12), z2).paule_mandel()
    design = np.column_stack([np.ones(12), z2])
    weights = np.diag(1 / (v + line.tau2))
    covariance = np.linalg.inv(design.T @ weights @ design)
    beta = covariance @ design.T @ weights @ y
    residual = y - design @ beta
    assert (line.beta1, line.beta2) == pytest.approx(tuple(beta), rel=1e-9)
    assert (line.cov11, line.cov12, line.cov22) == pytest.approx(
        (covariance[0, 0], covariance[0, 1], covariance[1, 1]), rel=1e-9
    )
    assert float(residual @ weights @ residual) == pytest.approx(10.0, rel=1e-8)


def test_restricted_likelihood_of_a_line_is_at_its_maximum() -> None:
    rng = np.random.default_rng(4)
    z2 = np.linspace(1.0, 4.0, 12)
    y = 120.0 + 45.0 * z2 + rng.normal(0, 6, 12)
    v = np.full(12, 4.0)
    found = RandomEffects(y, v, np.ones(12), z2).reml().tau2
    design = np.column_stack([np.ones(12), z2])

    def restricted(tau2: float) -> float:
        weights = np.diag(1 / (v + tau2))
        information = design.T @ weights @ design
        residual = y - design @ np.linalg.solve(information, design.T @ weights @ y)
        return float(
            np.log(v + tau2).sum() + np.linalg.slogdet(information)[1] + residual @ weights @ residual
        )

    assert found > 0
    assert restricted(found) < min(restricted(found * 0.99), restricted(found * 1.01))


def test_a_weight_that_drowns_all_others_is_refused_and_never_a_wrong_line() -> None:
    z2 = np.linspace(1.0, 4.0, 6)
    v = np.array([1e-30, 1.0, 1.0, 1.0, 1.0, 1.0])
    effects = RandomEffects(120.0 + 45.0 * z2, v, np.ones(6), z2)
    with pytest.raises(ZeroDivisionError):
        effects.without_scatter()


def test_a_start_value_does_not_change_what_paule_and_mandel_find() -> None:
    rng = np.random.default_rng(5)
    for _ in range(50):
        k = int(rng.integers(3, 15))
        effects = RandomEffects(rng.normal(0, 3, k), rng.uniform(0.2, 9, k), np.ones(k))
        found = effects.paule_mandel()
        for start in (0.0, 0.1, 50.0):
            again = effects.paule_mandel(start)
            assert again.tau2 == pytest.approx(found.tau2, rel=1e-8, abs=1e-9)
