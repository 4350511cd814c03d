"""The uncertainty budget of a run against the GUM, the `uncertainties` package and simulated readings."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from app.physics.uncertainty import (
    SOURCES,
    apparent_heat_capacities,
    fieller_interval,
    input_uncertainties,
    warming_uncertainty,
)


def test_every_source_together_agrees_with_the_uncertainties_package() -> None:
    """Oracle: uncertainties 3.2, c* = g·(L − a)·N/(T2 − T1) with every input uncertain but the count."""
    u_reading = math.sqrt(0.1**2 / 12 + 0.05**2)
    start, end = ufloat(19.0, u_reading), ufloat(22.1, u_reading)
    expected = ufloat(9.81, 0.02) * (ufloat(1.02, 0.002) - 0.05) * 60 / (end - start) * ufloat(1.0, 0.03)
    found = apparent_heat_capacities(
        1.02,
        0.05,
        60,
        19.0,
        22.1,
        thermometer_step_K=0.1,
        reading_sd_K=0.05,
        u_length_m=0.002,
        gravity_m_per_s2=9.81,
        u_gravity_m_per_s2=0.02,
        u_technique=0.03,
    )
    assert found.apparent_heat_capacity_J_per_kg_K == pytest.approx(expected.nominal_value, rel=1e-12)
    assert found.standard_uncertainty_J_per_kg_K == pytest.approx(expected.std_dev, rel=1e-9)
    assert math.hypot(*found.shares.values()) == pytest.approx(expected.std_dev, rel=1e-9)
    assert all(found.shares[source] > 0 for source in SOURCES if source != "inversions")
    assert found.shares["inversions"] == 0


@pytest.mark.parametrize(("step", "u_length"), [(0.5, 0.02), (0.1, 0.05)])
def test_the_interval_covers_as_a_simulation_does(step: float, u_length: float) -> None:
    """Oracle: 400,000 normal draws of fall and warming, fixed seed."""
    rng = np.random.default_rng(41)
    n = 400_000
    fall_m, warming_K = rng.normal(0.95, u_length, n), rng.normal(1.5, step / math.sqrt(6), n)
    draws = 9.80665 * 30 * fall_m / warming_K
    found = apparent_heat_capacities(0.95, 0.0, 30, 20.0, 21.5, thermometer_step_K=step, u_length_m=u_length)
    ends = (float(found.low_95_J_per_kg_K), float(found.high_95_J_per_kg_K))
    assert ends == pytest.approx(tuple(np.quantile(draws, [0.025, 0.975])), rel=0.03)


def test_the_steps_of_two_readings_do_not_cancel() -> None:
    """Two readings of step/√12 each (JCGM 100:2008, 4.3.7), independent of each other (5.1.2)."""
    assert warming_uncertainty(0.5) == pytest.approx(math.sqrt(2) * 0.5 / math.sqrt(12))
    assert warming_uncertainty(0.0, 0.1) == pytest.approx(0.1 * math.sqrt(2))
    assert warming_uncertainty(0.5, 0.1) == pytest.approx(math.sqrt(2 * (0.25 / 12 + 0.01)))
    assert warming_uncertainty([0.0, 0.0]).tolist() == [0.0, 0.0], "one for each step"


def test_every_source_of_the_budget_has_a_name_and_an_uncertainty() -> None:
    found = apparent_heat_capacities(1.0, 0.08, 50, 20.0, 23.0, thermometer_step_K=0.5)
    assert set(found.shares) == set(input_uncertainties(0.5)) == set(SOURCES)


def test_a_run_without_warming_has_no_value_and_the_others_keep_theirs() -> None:
    found = apparent_heat_capacities(
        1.0, 0.05, 50, 20.0, np.array([20.0, 19.0, 23.0]), thermometer_step_K=0.1, u_length_m=0.002
    )
    assert found.warming_K.tolist() == [0.0, -1.0, 3.0]
    for figures in (
        found.apparent_heat_capacity_J_per_kg_K,
        found.standard_uncertainty_J_per_kg_K,
        found.low_95_J_per_kg_K,
        found.high_95_J_per_kg_K,
        found.shares["thermometer_step"],
    ):
        assert np.isnan(figures).tolist() == [True, True, False]
    assert float(found.u_warming_K) > 0


def test_a_warming_that_could_be_zero_has_a_value_but_no_interval() -> None:
    found = apparent_heat_capacities(1.0, 0.0, 5, 20.5, 20.8, thermometer_step_K=0.5)
    assert float(found.apparent_heat_capacity_J_per_kg_K) > 0
    assert math.isnan(found.low_95_J_per_kg_K)
    assert math.isnan(found.high_95_J_per_kg_K)


def test_fieller_gives_back_the_published_limits_of_a_ratio() -> None:
    """Its ends solve (y − ρx)² = k²(u_y² + ρ²u_x²) exactly: the definition, Fieller (1954)."""
    for rho in fieller_interval(10.0, 0.7, 4.0, 0.5, 2.0):
        assert (10.0 - rho * 4.0) ** 2 == pytest.approx(4.0 * (0.49 + rho**2 * 0.25))


@pytest.mark.parametrize(
    "broken",
    [
        {"thermometer_step_K": -0.1},
        {"thermometer_step_K": float("nan")},
        {"u_length_m": -0.1},
        {"reading_sd_K": -0.1},
        {"u_gravity_m_per_s2": [0.0, -0.1]},
    ],
)
def test_an_uncertainty_below_zero_is_an_error(broken: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="must not be negative"):
        apparent_heat_capacities(1.0, 0.0, 50, 20.0, 23.0, **{"thermometer_step_K": 0.1, **broken})


finite = st.floats(allow_nan=False, allow_infinity=False)


@given(finite, finite, finite, finite, st.floats(0, 1e300), st.floats(0, 1e300))
def test_finite_readings_give_finite_numbers_or_none(
    length: float, count: float, start: float, end: float, step: float, u: float
) -> None:
    found = apparent_heat_capacities(length, 0.0, count, start, end, thermometer_step_K=step, u_length_m=u)
    value, u_value = found.apparent_heat_capacity_J_per_kg_K, found.standard_uncertainty_J_per_kg_K
    assert not np.isinf([value, u_value, found.low_95_J_per_kg_K, found.high_95_J_per_kg_K]).any()
    assert np.isnan(value) == np.isnan(u_value)
    if np.isnan(value):
        assert np.isnan(found.high_95_J_per_kg_K)
    else:
        assert all(np.isfinite(share) for share in found.shares.values())


def test_a_hundredth_of_a_kelvin_is_a_warming_and_no_source_is_uncertain_unless_it_is_said_to_be() -> None:
    found = apparent_heat_capacities(1.0, 0.0, 1, 20.0, 20.01, thermometer_step_K=0.001)
    assert float(found.apparent_heat_capacity_J_per_kg_K) == pytest.approx(9.80665 / 0.01)
    assert {source for source, share in found.shares.items() if float(share) > 0.0} == {"thermometer_step"}
    assert all(float(u) == 0.0 for source, u in input_uncertainties(0.0).items())


def test_a_small_denominator_that_is_known_has_an_interval() -> None:
    """Of an exact 1 over 0.05 ± 0.001: 1/(0.05 ± 1.96 × 0.001)."""
    low, high = fieller_interval(1.0, 0.0, 0.05, 0.001)
    assert (float(low), float(high)) == pytest.approx((1 / 0.05196, 1 / 0.04804), rel=1e-5)
