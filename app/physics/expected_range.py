"""The warming that a bench may expect, as a range wide enough not to lead its reading."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

KEPT_SHARE = (0.45, 1.0)
"""Share of the fall energy that the shot keeps. One bench's apparent heat capacity is usually 1.3 to 2 times
the metal's own (common practice, no source), so about half to three quarters; 1 is the physical limit."""


def expected_warming_range(
    specific_energy_J_per_kg: float,
    heat_capacity_range_J_per_kg_K: tuple[float, float],
    thermometer_step_K: float,
) -> tuple[float, float]:
    """(low, high) in kelvin: share·e/c over the shares and the metal's range, outwards to one digit.

    One more step of the thermometer on each side stands for the two readings. With more digits a bench
    could divide its fall energy by the high end and have the accepted value before the wall shows it.
    Domain: e > 0, c > 0, step > 0; ValueError otherwise.
    """
    low_c, high_c = heat_capacity_range_J_per_kg_K
    if not (specific_energy_J_per_kg > 0 and 0 < low_c <= high_c and thermometer_step_K > 0):
        raise ValueError("energy, heat capacity and thermometer step must be positive")
    low = KEPT_SHARE[0] * specific_energy_J_per_kg / high_c - thermometer_step_K
    high = KEPT_SHARE[1] * specific_energy_J_per_kg / low_c + thermometer_step_K
    return max(0.0, _one_digit(low, ROUND_FLOOR)), _one_digit(high, ROUND_CEILING)


def _one_digit(value: float, rounding: str) -> float:
    exact = Decimal(repr(value))
    return float(exact.quantize(Decimal((0, (1,), exact.adjusted())), rounding=rounding))
