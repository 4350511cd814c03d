"""The range of warming that a bench is shown after it has read its end temperature."""

from __future__ import annotations

import pytest

from app.physics.energy import expected_warming
from app.physics.expected_range import expected_warming_range


def test_the_range_holds_the_warming_without_and_with_a_heat_sink() -> None:
    # 1 m of fall, 50 times, lead; 20 J/K of tube and cup on 340 g of shot (invented).
    energy = 9.80665 * 0.95 * 50
    low, high = expected_warming_range(energy, 0.34, (127.4, 129.5), 0.1)
    assert low < expected_warming(energy, 0.34, 128, heat_sink_J_per_K=20) < high
    assert low < expected_warming(energy, 0.34, 128) < high


@pytest.mark.parametrize(("mass", "sink"), [(0.2, 50), (0.24, 45), (0.5, 45), (0.88, 45), (0.88, 10)])
def test_light_and_heavy_shot_in_a_heavy_tube_warm_within_the_range(mass: float, sink: float) -> None:
    energy = 9.80665 * 0.95 * 50
    low, high = expected_warming_range(energy, mass, (127.4, 129.5), 0.1)
    assert low < expected_warming(energy, mass, 128, heat_sink_J_per_K=sink) < high


def test_more_shot_is_expected_to_warm_more() -> None:
    energy = 9.80665 * 0.95 * 50
    assert expected_warming_range(energy, 0.15, (127.4, 129.5), 0.1)[0] == pytest.approx(0.6)
    assert expected_warming_range(energy, 0.88, (127.4, 129.5), 0.1)[0] == pytest.approx(2.0)


def test_the_ends_have_one_digit_so_that_they_give_the_accepted_value_away_to_nobody() -> None:
    energy = 465.8
    low, high = expected_warming_range(energy, 0.34, (127.4, 129.5), 0.1)
    assert (low, high) == pytest.approx((1.0, 4.0))
    # Metals whose specific heat capacities differ by a fifth say the same.
    assert expected_warming_range(energy, 0.34, (150.0, 152.0), 0.1) == (low, high)


def test_the_low_end_is_never_negative() -> None:
    assert expected_warming_range(10.0, 0.34, (128, 128), 1.0)[0] == 0.0


def test_nothing_is_expected_of_nothing() -> None:
    for energy, mass in ((0.0, 0.34), (465.8, 0.0)):
        with pytest.raises(ValueError, match="positive"):
            expected_warming_range(energy, mass, (128, 128), 0.1)
