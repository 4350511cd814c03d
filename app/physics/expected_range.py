"""The warming that a bench may expect, as a range wide enough not to lead its reading."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR

from app.physics.rounding import one_digit

LARGEST_HEAT_SINK_J_PER_K = 60.0
"""Tube, caps, cup and thermometer of a school's kit together (common practice, no source)."""
LEAST_SHARE = 0.9
"""Of the fall energy, what warms shot and heat sink even at a hurried bench (common practice, no source)."""


def expected_warming_range(
    specific_energy_J_per_kg: float,
    shot_mass_kg: float,
    heat_capacity_range_J_per_kg_K: tuple[float, float],
    thermometer_step_K: float,
) -> tuple[float, float]:
    """(low, high) in kelvin: from 0.9 e/(c + C/m) with the largest heat sink C to e/c with none.

    The first is lower the less shot there is; the second is the physical limit. Rounded outwards to one
    digit, after one more step of the thermometer on each side for the two readings: with more digits a bench
    could divide its fall energy by the high end and have the accepted value before the wall shows it.
    Domain: e > 0, m > 0, c > 0, step > 0; ValueError otherwise.
    """
    low_c, high_c = heat_capacity_range_J_per_kg_K
    positive = (specific_energy_J_per_kg, shot_mass_kg, low_c, thermometer_step_K)
    if not (all(value > 0 for value in positive) and low_c <= high_c):
        raise ValueError("energy, mass, specific heat capacity and thermometer step must be positive")
    most_around = LARGEST_HEAT_SINK_J_PER_K / shot_mass_kg
    low = LEAST_SHARE * specific_energy_J_per_kg / (high_c + most_around) - thermometer_step_K
    high = specific_energy_J_per_kg / low_c + thermometer_step_K
    return max(0.0, float(one_digit(low, ROUND_FLOOR))), float(one_digit(high, ROUND_CEILING))
