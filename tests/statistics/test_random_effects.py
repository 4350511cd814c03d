"""The random-effects mean against ordinary pooling, and by definition."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtri

from app.statistics.random_effects import paule_mandel
from tests.oracles.pooling import pool

MEANS = np.array([121.4, 133.8, 128.2, 140.1, 125.5])
U = np.array([6.1, 5.2, 8.4, 4.9, 7.0])


def test_it_is_the_pooled_mean_of_the_textbook_with_its_interval() -> None:
    found, other = paule_mandel(MEANS, U**2), pool(MEANS, U, "paule-mandel")
    assert found.mean == pytest.approx(other.mean, rel=1e-9)
    assert found.tau2 == pytest.approx(other.tau2, rel=1e-8)
    assert found.u_mean == pytest.approx(other.u_fixed_tau, rel=1e-9)
    assert other.interval_95 is not None
    assert found.mean + found.half_width_95 == pytest.approx(other.interval_95[1], rel=1e-8)


def test_without_scatter_the_interval_is_never_narrower_than_the_known_errors_give() -> None:
    found = paule_mandel(np.array([129.0, 131.0, 128.0, 130.5]), np.array([36.0, 25, 64, 49]))
    assert found.tau2 == 0.0
    assert found.half_width_95 == pytest.approx(ndtri(0.95) * found.u_mean, rel=1e-12)


def test_the_scatter_found_meets_its_definition_in_whatever_unit() -> None:
    rng = np.random.default_rng(5)
    for _ in range(50):
        k = int(rng.integers(2, 15))
        y, v = rng.normal(0, 3, k) + 2e3, rng.uniform(0.2, 9, k)
        found = paule_mandel(y, v)
        again = paule_mandel(1e-6 * y, 1e-12 * v)
        assert again.tau2 == pytest.approx(1e-12 * found.tau2, rel=1e-6, abs=1e-20)
        if found.tau2 > 0.0:
            assert found.q == pytest.approx(1.0, rel=1e-9)
        else:
            assert found.q <= 1.0 + 1e-6
