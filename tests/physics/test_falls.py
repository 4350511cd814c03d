"""Other falls against a published waterfall and against the practical itself."""

from __future__ import annotations

import pytest

from app.physics.falls import SUBSTANCES, fall_for_warming, own_substance, warming_over_fall
from app.physics.materials import MATERIALS


def test_one_degree_fahrenheit_of_water_needs_joules_height() -> None:
    """J. P. Joule, Phil. Mag. 27 (1845) 205: water falling 817 feet warms by 1 °F (from memory).

    The modern value is 778 feet: Joule's 817 is 5 % high.
    """
    feet = fall_for_warming(SUBSTANCES["water"], 5 / 9) / 0.3048
    assert feet == pytest.approx(817, rel=0.06)
    assert feet == pytest.approx(778, rel=0.002)


def test_niagara_warms_by_an_eighth_of_a_kelvin_and_a_class_thermometer_only_just_sees_it() -> None:
    """About 51 m of drop give about 0.12 K (g·h/c)."""
    niagara = warming_over_fall(SUBSTANCES["water"], 51.0)
    assert niagara.warming_K == pytest.approx(0.1195, abs=1e-3)
    assert niagara.thermometer_step_K == 0.01
    assert "just sees it" in str(niagara.finding)


def test_lead_in_a_tube_needs_some_fourteen_falls_for_a_tenth_degree_thermometer() -> None:
    lead = warming_over_fall(SUBSTANCES["lead"], 0.95, 1, thermometer_step_K=0.1)
    assert lead.warming_K == pytest.approx(0.0731, abs=1e-4)
    assert lead.falls_for_thermometer == 14
    assert "cannot see it" in str(lead.finding)
    many = warming_over_fall(SUBSTANCES["lead"], 0.95, 14, thermometer_step_K=0.1)
    assert many.thermometer_step_K == 0.1
    assert "sees it well" in str(many.finding)


def test_every_metal_of_the_practical_can_fall_with_its_own_heat_capacity() -> None:
    for key, metal in MATERIALS.items():
        assert SUBSTANCES[key].heat_capacity_J_per_kg_K == metal.accepted_J_per_kg_K
    assert own_substance(140.0, "class result").heat_capacity_J_per_kg_K == 140.0


def test_no_usual_thermometer_sees_a_drop_of_a_millimetre() -> None:
    assert warming_over_fall(SUBSTANCES["water"], 0.001).thermometer_step_K is None


@pytest.mark.parametrize(
    ("fall", "falls", "step"),
    [(0, 1, 0.1), (-1, 1, 0.1), (1, 0, 0.1), (1e9, 1, 0.1), (1, 1, 0), (1, 10**9, 1)],
)
def test_an_impossible_fall_is_an_error(fall: float, falls: int, step: float) -> None:
    with pytest.raises(ValueError):
        warming_over_fall(SUBSTANCES["water"], fall, falls, thermometer_step_K=step)
