"""Specific heat capacity and uncertainty of very many runs at once, as numpy arrays.

The same formulas as `app.physics.run_uncertainty`, without the budget. An array has no None: where a run
has no specific heat capacity its entries are NaN and `has_value` is False, and the caller leaves them out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.run_uncertainty import COVERAGE_95

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class HeatCapacities:
    """One entry a run. `low_95` and `high_95` are NaN where Fieller's set is unbounded."""

    specific_energy_J_per_kg: Floats
    warming_K: Floats
    apparent_heat_capacity_J_per_kg_K: Floats
    u_apparent_heat_capacity_J_per_kg_K: Floats
    has_value: NDArray[np.bool_]
    low_95_J_per_kg_K: Floats | None = None
    high_95_J_per_kg_K: Floats | None = None


def apparent_heat_capacities(
    tube_length_m: ArrayLike,
    end_allowance_m: ArrayLike,
    inversions: ArrayLike,
    start_temperature_C: ArrayLike,
    end_temperature_C: ArrayLike,
    *,
    gravity_m_per_s2: ArrayLike = STANDARD_GRAVITY_M_PER_S2,
    thermometer_step_K: ArrayLike = 0.1,
    reading_sd_K: ArrayLike = 0.0,
    u_length_m: ArrayLike = 0.0,
    u_gravity_m_per_s2: ArrayLike = 0.0,
    u_inversions: ArrayLike = 0.0,
    with_intervals: bool = False,
) -> HeatCapacities:
    """c* = g·h·N / w with u(c*)² = c*²·((u_h/h)² + (u_N/N)² + (u_g/g)² + (u_w/w)²), all broadcast together.

    `u_length_m` is the standard uncertainty of the fall. Domain: any finite numbers; runs with w ≤ 0 or a
    result too large for a float have no value. The step of 0.1 K is a school's digital thermometer
    (common practice, no source). Source: JCGM 100:2008, 5.1.2.
    """
    g = np.asarray(gravity_m_per_s2, dtype=np.float64)
    n = np.asarray(inversions, dtype=np.float64)
    step = np.asarray(thermometer_step_K, dtype=np.float64)
    sd = np.asarray(reading_sd_K, dtype=np.float64)
    fall_m = np.subtract(tube_length_m, end_allowance_m, dtype=np.float64)
    warming = np.asarray(np.subtract(end_temperature_C, start_temperature_C, dtype=np.float64))
    with np.errstate(all="ignore"):
        gn = g * n
        energy = np.asarray(gn * fall_m)
        u_energy_squared = _squared_u_energy(gn, fall_m, g, n, u_length_m, u_gravity_m_per_s2, u_inversions)
        u_warming_squared = step * step / 6 + 2 * sd * sd
        value = energy / np.where(warming > 0, warming, np.nan)
        u_value = np.sqrt(u_energy_squared + value * value * u_warming_squared) / warming
        has_value = np.isfinite(value) & np.isfinite(u_value)
        if not has_value.all():
            value = np.where(has_value, value, np.nan)
            u_value = np.where(has_value, u_value, np.nan)
        low, high = (
            _fieller(value, u_value, warming, u_energy_squared, u_warming_squared)
            if with_intervals
            else (None, None)
        )
    return HeatCapacities(energy, warming, value, u_value, has_value, low, high)


def _squared_u_energy(
    gn: Floats,
    fall_m: Floats,
    g: Floats,
    n: Floats,
    u_length_m: ArrayLike,
    u_gravity_m_per_s2: ArrayLike,
    u_inversions: ArrayLike,
) -> Floats:
    """u(e)² in (J/kg)²; terms that are zero for every run cost nothing."""
    total: Floats = np.zeros(())
    for sensitivity, u in (
        ((gn,), u_length_m),
        ((fall_m, n), u_gravity_m_per_s2),
        ((fall_m, g), u_inversions),
    ):
        if np.any(u):
            share = np.asarray(u, dtype=np.float64)
            for factor in sensitivity:
                share = share * factor
            total = total + share * share
    return total


def _fieller(
    value: Floats,
    u_value: Floats,
    warming: Floats,
    u_energy_squared: Floats,
    u_warming_squared: Floats,
) -> tuple[Floats, Floats]:
    """Fieller's ends; see `app.physics.run_uncertainty.fieller_interval`."""
    k_squared = COVERAGE_95**2
    relative = k_squared * u_warming_squared / warming**2
    bounded = 1 - np.where(relative < 1, relative, np.nan)
    spread = u_energy_squared / warming**2 * bounded + value**2 * u_warming_squared / warming**2
    half = np.sqrt(k_squared * spread)
    return (value - half) / bounded, (value + half) / bounded
