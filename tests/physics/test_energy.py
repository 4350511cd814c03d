"""The energy balance against a worked example and its own limits."""

from __future__ import annotations

import math

import chemicals
import pytest
import scipy.constants
from chemicals.heat_capacity import CRC_standard_data

from app.physics.energy import (
    apparent_heat_capacity,
    expected_warming,
    fall,
    mass_the_tube_holds,
    settled_depth,
    specific_fall_energy,
    start_below_room,
    warming_with_leak,
)


def test_the_worked_run_gives_its_heat_capacity() -> None:
    """Reference case gum-run-lead: g 9.81, h 0.945 m, N 50, 20.5 to 24.0 °C give 132.435 J/(kg·K)."""
    energy = specific_fall_energy(fall(1.0, 0.055), 50, 9.81)
    assert apparent_heat_capacity(energy, 24.0 - 20.5) == pytest.approx(132.435, rel=1e-9)


def test_without_warming_there_is_no_heat_capacity() -> None:
    assert apparent_heat_capacity(460.0, 0.0) is None
    assert apparent_heat_capacity(460.0, -0.5) is None
    assert apparent_heat_capacity(460.0, float("nan")) is None
    assert apparent_heat_capacity(1e308, 1e-10) is None


def test_a_small_warming_has_its_heat_capacity() -> None:
    assert apparent_heat_capacity(460.0, 0.5) == 920.0


def test_a_heat_sink_adds_its_share_per_mass_to_the_apparent_value() -> None:
    energy = specific_fall_energy(0.9, 50)
    w = expected_warming(energy, 0.3, 128.0, 45.0)
    assert apparent_heat_capacity(energy, w) == pytest.approx(128.0 + 45.0 / 0.3)
    assert expected_warming(10.0, 2.0, 0.5, 1.0) == 10.0, "however little it takes"


def test_a_leak_takes_from_the_energy_and_adds_to_what_a_kelvin_takes() -> None:
    """0.4 kg, 50 falls at 0.04 J/K each lose 2 J/K, so 5 J/(kg·K): half of it with the shot's own warming,
    and 2 K above the room 10 J/kg from the start; 18 J/K are 45 J/(kg·K). 440 − 10 = 430; 128 + 45 + 2.5."""
    takes, warming = warming_with_leak(440.0, 2.5, 50, 2.0, 128.0, 18.0, 0.04)
    assert takes == pytest.approx(175.5)
    assert warming == pytest.approx(430 / 175.5)


def test_water_down_a_high_fall_warms_by_g_h_over_c() -> None:
    """100 m of fall warm water by g·h/c, c from the CRC table of `chemicals` (75.3 J/(mol·K))."""
    water = CRC_standard_data.loc["7732-18-5", "Cpl"] / chemicals.MW("7732-18-5") * 1000
    expected = scipy.constants.g * 100 / water
    assert expected_warming(specific_fall_energy(100, 1), 1.0, water) == pytest.approx(expected, rel=1e-9)


def test_settled_shot_fills_its_depth() -> None:
    depth = settled_depth(0.5, 0.04, 11340, 0.6)
    assert depth * math.pi * 0.02**2 * 0.6 * 11340 == pytest.approx(0.5)
    assert mass_the_tube_holds(depth, 0.04, 11340) == pytest.approx(0.5)


def test_the_start_is_half_the_warming_below_the_room() -> None:
    assert start_below_room(3.6) == pytest.approx(1.8)


def test_a_tube_packed_without_gaps_holds_its_volume_of_metal() -> None:
    assert settled_depth(0.5, 0.04, 11340, 1.0) == pytest.approx(0.5 / (11340 * math.pi * 0.02**2))


def test_what_is_positive_is_a_tube_however_light_and_wide() -> None:
    """Half a kilogram of 0.5 kg/m³ is 1 m³: packed to 0.8, in a bore of 2 m, 1.25 / π m deep."""
    assert settled_depth(0.5, 2.0, 0.5, 0.8) == pytest.approx(1.25 / math.pi)


@pytest.mark.parametrize(
    "impossible",
    [
        (0.0, 0.04, 11340.0, 0.6),
        (0.5, 0.0, 11340.0, 0.6),
        (0.5, 0.04, 0.0, 0.6),
        (0.5, 0.04, 11340.0, 0.0),
        (0.5, 0.04, 11340.0, 1.01),
    ],
)
def test_an_impossible_tube_is_an_error(impossible: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="must be positive"):
        settled_depth(*impossible)


@pytest.mark.parametrize("impossible", [(0.0, 128.0, 0.0), (0.3, 0.0, 20.0), (0.3, 128.0, -0.1)])
def test_an_impossible_balance_is_an_error(impossible: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="must be positive"):
        expected_warming(440.0, *impossible)
