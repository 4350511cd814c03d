"""The uncertainty budget of runs: c* with its standard uncertainty, the share of each source, the interval.

c* = g·h·N / w with h = L − a and w = T₂ − T₁, first order in the inputs (JCGM 100:2008, 5.1). A reading on
a scale of step s has the standard uncertainty s/√12 (4.3.7 there), and a warming is the difference of two.
Turns are counted: they carry no uncertainty. The interval is Fieller's for the ratio of energy and warming,
so it is as lopsided as it has to be where the warming is small.

Everything works on arrays, so that one run, a class and an archive of years go through the same lines.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce
from math import sqrt
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.physics.coverage import COVERAGE_95
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2, fall, specific_fall_energy, warming
from app.words import N_, Message

Floats = NDArray[np.float64]

NO_UPPER_END = Message(
    N_(
        "The warming is too small for this thermometer: it could be zero, "
        "so there is no upper end to the specific heat capacity."
    )
)
"""Why a run has no 95 % interval."""

ENDS_COLDER = Message(
    N_("The shot ends colder than it began, so no specific heat capacity follows from this run.")
)
"""Why a run whose end temperature is below its start has no specific heat capacity."""


@dataclass(frozen=True)
class Source:
    """What a line of the budget is called, and the unit of its input."""

    name: Message
    unit: str


SOURCES: Mapping[str, Source] = MappingProxyType(
    {
        "thermometer_step": Source(Message(N_("thermometer step, both readings")), "K"),
        "reading": Source(Message(N_("reading the thermometer")), "K"),
        "fall_length": Source(Message(N_("length of the fall")), "m"),
        "gravity": Source(Message(N_("gravity")), "m/s²"),
        "inversions": Source(Message(N_("count of inversions")), "1"),
        "technique": Source(Message(N_("technique: how fully each turn lets the shot fall")), "1"),
    }
)
"""The sources of a run's uncertainty, in the order in which they are shown."""


@dataclass(frozen=True)
class HeatCapacities:
    """One entry for each run; `u_` and `standard_uncertainty` are standard uncertainties.

    A run without a specific heat capacity (w ≤ 0, or a result too large for a float) has NaN in c*, its
    uncertainty, the interval and every share. The interval alone is NaN where Fieller's set is unbounded.
    `shares` has |∂c*/∂x|·u(x) in J/(kg·K) for each of `SOURCES`; their squares add up to u(c*)².
    """

    specific_energy_J_per_kg: Floats
    warming_K: Floats
    u_warming_K: Floats
    apparent_heat_capacity_J_per_kg_K: Floats
    standard_uncertainty_J_per_kg_K: Floats
    low_95_J_per_kg_K: Floats
    high_95_J_per_kg_K: Floats
    shares: Mapping[str, Floats]


def apparent_heat_capacities(
    tube_length_m: ArrayLike,
    end_allowance_m: ArrayLike,
    inversions: ArrayLike,
    start_temperature_C: ArrayLike,
    end_temperature_C: ArrayLike,
    *,
    thermometer_step_K: ArrayLike,
    reading_sd_K: ArrayLike = 0.0,
    u_length_m: ArrayLike = 0.0,
    gravity_m_per_s2: ArrayLike = STANDARD_GRAVITY_M_PER_S2,
    u_gravity_m_per_s2: ArrayLike = 0.0,
    u_technique: ArrayLike = 0.0,
) -> HeatCapacities:
    """c* and its budget for every run; all arguments are broadcast together.

    `u_length_m` is the standard uncertainty of the fall, `u_technique` the relative one of the energy: how
    far one run of one bench may be from the full falls. Domain: any finite readings; ValueError for an
    uncertainty that is negative or not a number.
    """
    u = input_uncertainties(thermometer_step_K, reading_sd_K, u_length_m, u_gravity_m_per_s2, u_technique)
    n, g = _array(inversions), _array(gravity_m_per_s2)
    with np.errstate(all="ignore"):
        fall_m = fall(_array(tube_length_m), _array(end_allowance_m))
        energy = specific_fall_energy(fall_m, n, g)
        warming_K = warming(_array(start_temperature_C), _array(end_temperature_C))
        warm_K = np.where(warming_K > 0.0, warming_K, np.nan)
        value = energy / warm_K
        sensitivities = {
            "thermometer_step": value / warm_K,
            "reading": value / warm_K,
            "fall_length": g * n / warm_K,
            "gravity": fall_m * n / warm_K,
            "inversions": g * fall_m / warm_K,
            "technique": value,
        }
        shares = {source: _share(sensitivities[source], u[source]) for source in SOURCES}
        u_value = _hypot(*shares.values())
        exists = np.isfinite(value) & np.isfinite(u_value)
        of_energy = ("fall_length", "gravity", "inversions", "technique")
        u_energy = _hypot(*(shares[source] for source in of_energy)) * warm_K
        u_warming = warming_uncertainty(thermometer_step_K, reading_sd_K)
        low, high = fieller_interval(energy, u_energy, np.where(exists, warm_K, np.nan), u_warming)
    return HeatCapacities(
        specific_energy_J_per_kg=energy,
        warming_K=warming_K,
        u_warming_K=u_warming,
        apparent_heat_capacity_J_per_kg_K=np.where(exists, value, np.nan),
        standard_uncertainty_J_per_kg_K=np.where(exists, u_value, np.nan),
        low_95_J_per_kg_K=low,
        high_95_J_per_kg_K=high,
        shares=shares,
    )


def input_uncertainties(
    thermometer_step_K: ArrayLike,
    reading_sd_K: ArrayLike = 0.0,
    u_length_m: ArrayLike = 0.0,
    u_gravity_m_per_s2: ArrayLike = 0.0,
    u_technique: ArrayLike = 0.0,
) -> dict[str, Floats]:
    """u(x) of each of `SOURCES` in its unit; of the thermometer's two, for both readings together.

    The steps of two readings do not cancel: √2·s/√12 = s/√6. Domain: none negative; ValueError otherwise.
    """
    u = {
        "thermometer_step": _array(thermometer_step_K) / sqrt(6.0),
        "reading": _array(reading_sd_K) * sqrt(2.0),
        "fall_length": _array(u_length_m),
        "gravity": _array(u_gravity_m_per_s2),
        "inversions": np.zeros(()),
        "technique": _array(u_technique),
    }
    if not all(np.all(one >= 0.0) for one in u.values()):
        raise ValueError("a standard uncertainty must not be negative")
    return u


def warming_uncertainty(thermometer_step_K: ArrayLike, reading_sd_K: ArrayLike = 0.0) -> Floats:
    """u(w) = √(2·(s²/12 + sd²)) in kelvin. Domain: step and sd ≥ 0; ValueError otherwise."""
    u = input_uncertainties(thermometer_step_K, reading_sd_K)
    return _hypot(u["thermometer_step"], u["reading"])


def fieller_interval(
    numerator: ArrayLike,
    u_numerator: ArrayLike,
    denominator: ArrayLike,
    u_denominator: ArrayLike,
    k: float = COVERAGE_95,
) -> tuple[Floats, Floats]:
    """All ratios ρ with (y − ρ·x)² ≤ k²·(u_y² + ρ²·u_x²), for independent normal y and x: both ends.

    NaN where the set is unbounded, that is where x ≤ k·u_x. Source: E. C. Fieller, J. R. Stat. Soc. B 16
    (1954) 175–185 (from memory).
    """
    y, x = _array(numerator), _array(denominator)
    with np.errstate(all="ignore"):
        u_x, u_y = k * _array(u_denominator) / x, k * _array(u_numerator) / x
        centre, bounded = y / x, 1.0 - u_x * u_x
        half = _hypot(u_y * np.sqrt(bounded), centre * u_x)
        low, high = (centre - half) / bounded, (centre + half) / bounded
        known = (x > 0.0) & (bounded > 0.0) & np.isfinite(low) & np.isfinite(high)
    return np.where(known, low, np.nan), np.where(known, high, np.nan)


def _array(values: ArrayLike) -> Floats:
    return np.asarray(values, dtype=np.float64)


def _share(sensitivity: Floats, u: Floats) -> Floats:
    """|∂c*/∂x|·u(x), one for each run; nothing is worked out for a source that is exact in every run."""
    return np.abs(sensitivity) * u if u.any() else np.broadcast_to(0.0, sensitivity.shape)


def _hypot(*parts: Floats) -> Floats:
    """√(Σx²), where the squares may be too large for a float."""
    none = np.zeros(np.broadcast_shapes(*(part.shape for part in parts)))
    return np.asarray(reduce(np.hypot, [part for part in parts if part.any()], none))
