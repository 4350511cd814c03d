"""Normal gravity against boule's WGS84 and the reference cases."""

from __future__ import annotations

import boule
import pytest

from app.physics.gravity import normal_gravity


@pytest.mark.parametrize("latitude", [-90, -33.9, 0, 19.4, 45, 51.5, 64.1, 90])
@pytest.mark.parametrize("height", [0.0, 100.0, 2240.0])
def test_normal_gravity_agrees_with_boule(latitude: float, height: float) -> None:
    """Source: boule v0.6 WGS84.normal_gravity, exact above the ellipsoid; our free-air term is linear."""
    expected = boule.WGS84.normal_gravity((0.0, latitude, height), si_units=True)
    assert normal_gravity(latitude, height) == pytest.approx(expected, abs=1e-7 if height == 0 else 1.5e-5)


@pytest.mark.parametrize(
    ("latitude", "height", "expected", "tolerance"),
    [
        (0, 0, 9.78032533590406, 1e-7),
        (45, 0, 9.806197769377293, 1e-7),
        (90, 0, 9.832184937863067, 1e-7),
        (51.5, 100, 9.81172507215188, 1e-5),
    ],
)
def test_the_reference_case_of_normal_gravity(
    latitude: float, height: float, expected: float, tolerance: float
) -> None:
    """Source: reference case gravity-a (boule v0.6.0)."""
    assert normal_gravity(latitude, height) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    ("latitude", "height"), [(90.1, 0), (-90.1, 0), (0, 9001), (0, -501), (float("nan"), 0)]
)
def test_a_place_that_is_not_on_earth_is_an_error(latitude: float, height: float) -> None:
    with pytest.raises(ValueError):
        normal_gravity(latitude, height)


def test_the_poles_the_deepest_shore_and_the_highest_summit_are_on_earth() -> None:
    for latitude, height in ((90, 0), (-90, 0), (0, 9000), (0, -500)):
        assert 9.75 < normal_gravity(latitude, height) < 9.84
