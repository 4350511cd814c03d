"""Other falls against a published waterfall and against the practical itself."""

from __future__ import annotations

import chemicals
import pytest
from chemicals.heat_capacity import CRC_standard_data
from scipy import constants

from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.falls import SUBSTANCES, own_substance, warming_over_fall
from app.physics.materials import MATERIALS


@pytest.mark.parametrize(("key", "cas"), [("water", "7732-18-5"), ("mercury", "7439-97-6")])
def test_a_liquid_has_the_handbooks_value(key: str, cas: str) -> None:
    """Source: chemicals, CRC_standard_data Cpl over the molar mass."""
    table = CRC_standard_data.loc[cas, "Cpl"] / chemicals.MW(cas) * 1000
    assert SUBSTANCES[key].heat_capacity_J_per_kg_K == pytest.approx(table, abs=0.1)
    assert "CRC" in SUBSTANCES[key].source


def test_one_degree_fahrenheit_of_water_needs_the_height_that_the_units_say() -> None:
    """A pound of water falls 778 feet for 1 °F: the British thermal unit over pound-force and foot.

    From scipy.constants. The unit (International Table) is 0.2 % more than water takes at 25 °C.
    """
    unit_ft = constants.Btu / (constants.lbf * constants.foot)
    feet = 5 / 9 / warming_over_fall(SUBSTANCES["water"], 1.0).warming_K / constants.foot
    assert feet == pytest.approx(unit_ft, rel=0.0025)


def test_one_degree_fahrenheit_of_water_lies_among_joules_determinations() -> None:
    """J. P. Joule, Phil. Mag. (3) 27 (1845) 205 prints 774, 795, 823 and 890 feet."""
    feet = 5 / 9 / warming_over_fall(SUBSTANCES["water"], 1.0).warming_K / constants.foot
    assert 774 < feet < 795


@pytest.mark.parametrize(
    ("fall_m", "c", "gravity", "printed", "digit"),
    [
        # Polytechnic textbook page, DBS10012 heat and temperature: lead from 32.5 m, c 130, g 10: 2.5 °C.
        (32.5, 130.0, 10.0, 2.5, 0.1),
        # Textbook exercise, lead shot in a bag: 22.9 m, c 130, g 9.8: 1.73 K.
        (22.9, 130.0, 9.8, 1.73, 0.01),
        # Textbook exercise on Joule and Niagara: 51 m, c 4190, g 9.8: 0.12 °C (answer from memory).
        (51.0, 4190.0, 9.8, 0.12, 0.01),
    ],
)
def test_a_published_fall_warms_as_printed(
    fall_m: float, c: float, gravity: float, printed: float, digit: float
) -> None:
    fallen = warming_over_fall(own_substance(c, "as printed"), fall_m, gravity_m_per_s2=gravity)
    assert fallen.warming_K == pytest.approx(printed, abs=digit / 2)


def test_niagara_is_only_just_seen_by_a_class_thermometer() -> None:
    """Joule's letter of 1845 gives Niagara 160 feet and one fifth of 1 °F (from memory)."""
    niagara = warming_over_fall(SUBSTANCES["water"], 160 * constants.foot)
    assert niagara.warming_K == pytest.approx(5 / 9 / 5, rel=0.05)
    assert niagara.thermometer_step_K == 0.01
    assert "just sees it" in str(niagara.finding)


def test_lead_in_a_tube_needs_some_fourteen_falls_for_a_tenth_degree_thermometer() -> None:
    """g·h/c by hand: 9.80665 × 0.95 / 127.4 = 0.0731 K; ten steps of 0.1 K take 13.7 such falls."""
    lead = warming_over_fall(SUBSTANCES["lead"], 0.95, 1, thermometer_step_K=0.1)
    assert lead.warming_K == pytest.approx(0.0731, abs=1e-4)
    assert lead.falls_for_thermometer == 14
    assert "cannot see it" in str(lead.finding)
    assert lead.u_warming_K == pytest.approx(0.0408, abs=5e-5), (
        "two readings, each 0.1 K/√12 (JCGM 100, 4.3.7)"
    )
    many = warming_over_fall(SUBSTANCES["lead"], 0.95, 14, thermometer_step_K=0.1)
    assert many.thermometer_step_K == 0.1
    assert "sees it well" in str(many.finding)


def test_ten_steps_are_seen_well_one_step_is_just_seen_and_one_fall_is_the_least() -> None:
    """c = g·h, so that one fall warms by exactly 1 K."""
    one_kelvin = own_substance(STANDARD_GRAVITY_M_PER_S2 * 100.0, "for the test")
    tenths = warming_over_fall(one_kelvin, 100.0, thermometer_step_K=0.1)
    assert "sees it well" in str(tenths.finding)
    assert tenths.thermometer_step_K == 0.1
    whole = warming_over_fall(one_kelvin, 100.0, thermometer_step_K=1.0)
    assert "just sees it" in str(whole.finding)
    assert whole.falls_for_thermometer == 10
    assert warming_over_fall(one_kelvin, 100.0, thermometer_step_K=0.01).falls_for_thermometer == 1


def test_every_metal_of_the_practical_can_fall_with_its_own_heat_capacity() -> None:
    for key, metal in MATERIALS.items():
        assert SUBSTANCES[key].heat_capacity_J_per_kg_K == metal.accepted_J_per_kg_K
    own = own_substance(140.0, "class result")
    assert (own.heat_capacity_J_per_kg_K, str(own.name)) == (140.0, "Your own value")
    assert str(SUBSTANCES["ice"].name) == "Ice (below 0 °C)", "not as water"


def test_no_usual_thermometer_sees_a_drop_of_a_millimetre() -> None:
    assert warming_over_fall(SUBSTANCES["water"], 0.001).thermometer_step_K is None


def test_a_thermometer_is_advised_whose_step_is_on_sale() -> None:
    """Scales and displays step by 1, 2 or 5 of a power of ten (common practice, no source)."""
    advised = {
        warming_over_fall(SUBSTANCES["water"], 0.5 * 1.02**k).thermometer_step_K for k in range(480)
    } - {None}
    assert {f"{step:.0e}"[0] for step in advised} == {"1", "2", "5"}
    assert all(step == float(f"{step:.0e}") for step in advised if step is not None)
    assert (min(advised), max(advised)) == (0.001, 1.0)  # type: ignore[type-var]


@pytest.mark.parametrize(
    ("key", "calories"),
    [
        ("sand", 0.19),  # dry quartz sand, 0.19 cal/(g·°C), from memory
        ("granite", 0.19),  # from memory
        ("ice", 0.50),  # at 0 °C, from memory
    ],
)
def test_what_no_metal_table_has_is_near_a_second_table(key: str, calories: float) -> None:
    """1 cal = 4.184 J (thermochemical, ISO 31-4:1992, annex B; from memory)."""
    assert SUBSTANCES[key].heat_capacity_J_per_kg_K == pytest.approx(calories * 4184, rel=0.02)


@pytest.mark.parametrize(
    ("fall_m", "said"),
    [(99.6, "At most 10 K"), (123.4, "At most 12 K"), (99.4, "At most 9.9 K"), (9.4, "At most 0.94 K")],
)
def test_a_warming_is_said_with_two_digits_below_ten_kelvins(fall_m: float, said: str) -> None:
    """c = 10 m·g, so that ten metres warm by 1 K."""
    own = own_substance(STANDARD_GRAVITY_M_PER_S2 * 10.0, "for the test")
    assert said in str(warming_over_fall(own, fall_m).finding)


@pytest.mark.parametrize(
    ("fall", "falls", "step"),
    [
        (0, 1, 0.1),
        (-1, 1, 0.1),
        (1, 0, 0.1),
        (10_001, 1, 0.1),
        (1, 10_001, 0.1),
        (1, 1, 0),
        (1, 1, float("nan")),
    ],
)
def test_an_impossible_fall_is_an_error(fall: float, falls: int, step: float) -> None:
    with pytest.raises(ValueError):
        warming_over_fall(SUBSTANCES["water"], fall, falls, thermometer_step_K=step)


def test_the_highest_fall_and_the_most_falls_can_be_asked_about() -> None:
    assert warming_over_fall(SUBSTANCES["water"], 10_000, 10_000).warming_K > 0


def test_nothing_warms_without_gravity_or_without_a_heat_capacity() -> None:
    with pytest.raises(ValueError, match="gravity must be positive"):
        warming_over_fall(SUBSTANCES["water"], 1.0, gravity_m_per_s2=0.0)
    with pytest.raises(ValueError, match="heat capacity must be positive"):
        warming_over_fall(own_substance(0.0, "for the test"), 1.0)


def test_a_fall_may_be_asked_about_on_any_world() -> None:
    """0.28 m/s² on Ceres (from memory): 100 m warm water by 0.28 × 100 / 4180 = 0.0067 K."""
    water = warming_over_fall(SUBSTANCES["water"], 100.0, gravity_m_per_s2=0.28)
    assert water.warming_K == pytest.approx(0.0067, abs=5e-5)
    own = warming_over_fall(own_substance(0.5, "for the test"), 1.0, gravity_m_per_s2=0.5)
    assert own.warming_K == 1.0
