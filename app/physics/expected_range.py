"""The warming that a bench may expect, as a range wide enough not to lead its reading."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR

from app.physics.rounding import one_digit

LARGEST_HEAT_SINK_J_PER_K = 60.0
"""Tube, caps, cup and thermometer of a school's kit together (common practice, no source)."""
LEAST_SHARE = 0.9
"""Of the fall energy, what warms shot and heat sink even at a hurried bench (common practice, no source)."""
DEMONSTRATORS_SHARE = 0.6
"""Of the warming that the shot alone would have, what demonstrators find: University of Sydney, shot tube
demonstration, “theory 5 °C, experiment 3 °C”. The University of Iowa's 4B60.10 (100 falls of 1 m, about 5 °C)
finds 0.65. Their shot is heavy, so that its heat sink alone does not explain it."""


def expected_warming_range(
    specific_energy_J_per_kg: float,
    shot_mass_kg: float,
    heat_capacity_range_J_per_kg_K: tuple[float, float],
    thermometer_step_K: float,
) -> tuple[float, float]:
    """(low, high) in kelvin: from 0.9 e/(c + C/m), or 0.6 e/c where that is less, to e/c.

    0.9 e/(c + C/m), with the largest heat sink C, is lower the less shot there is; heavy shot warms less than
    it says, as demonstrators find; e/c, with no heat sink, is the physical limit. Rounded outwards to one
    digit, after one more step of the thermometer on each side for the two readings: with more digits a bench
    could divide its fall energy by the high end and have the accepted value before the wall shows it.
    Domain: e > 0, m > 0, c > 0, step > 0; ValueError otherwise.
    """
    low_c, high_c = heat_capacity_range_J_per_kg_K
    positive = (specific_energy_J_per_kg, shot_mass_kg, low_c, thermometer_step_K)
    if not (all(value > 0 for value in positive) and low_c <= high_c):
        raise ValueError("energy, mass, specific heat capacity and thermometer step must be positive")
    most_around = LARGEST_HEAT_SINK_J_PER_K / shot_mass_kg
    least = min(LEAST_SHARE / (high_c + most_around), DEMONSTRATORS_SHARE / high_c)
    low = specific_energy_J_per_kg * least - thermometer_step_K
    high = specific_energy_J_per_kg / low_c + thermometer_step_K
    return max(0.0, float(one_digit(low, ROUND_FLOOR))), float(one_digit(high, ROUND_CEILING))
