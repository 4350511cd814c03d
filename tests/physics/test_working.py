"""A bench's own calculation is followed, and the step that went wrong is found."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.physics.reading.readings import ReadingProblem, parse_heat_capacity
from app.physics.run import Readings
from app.physics.working import (
    FOLLOWS,
    HINTS,
    NO_WARMING,
    SLIPPED,
    UNEXPLAINED,
    check_working,
)

# g·h·N/w = 9.81 × 0.945 × 50 / 3.5 = 132.435 J/(kg·K), the reference run gum-run-lead.
RUN = Readings(
    shot_mass_kg=0.3,
    tube_length_m=1.0,
    end_allowance_m=0.055,
    inversions=50,
    start_temperature_C=20.5,
    end_temperature_C=24.0,
)


@pytest.mark.parametrize(
    "typed",
    [
        "132.435",
        "132,4",
        "132",
        "130",
        "135",
        "0.1324 kJ/(kg K)",
        "0,132 J/(g·°C)",
        "132 J/kg/K",
        "132 J kg⁻¹ K⁻¹",
        "0,132 J g-1 K-1",
        "132 J·kg−1·°C−1",
    ],
)
def test_a_right_calculation_follows_however_it_was_rounded_and_with_any_school_gravity(typed: str) -> None:
    working = check_working(parse_heat_capacity(typed), RUN)
    assert working.verdict == FOLLOWS
    assert working.slips == ()


def test_an_energy_is_told_from_a_value_unless_the_shot_warmed_by_one_kelvin() -> None:
    """Divided by 1 K, a number stays what it is."""
    two_kelvin = replace(RUN, end_temperature_C=22.5)  # g·h·N = 463.5 J/kg
    rivals = {one.slip for one in check_working(parse_heat_capacity("463.5"), two_kelvin).slips}
    assert rivals == {"not-divided-by-warming", "twice-the-falls"}
    # 9.80665 × 0.945 × 50 / 0.985 = 470.4: the energy is 1.5 % off, which is lost among roundings.
    nearly_one = replace(RUN, end_temperature_C=21.485)
    assert check_working(parse_heat_capacity("463.5"), nearly_one).verdict == UNEXPLAINED
    one_kelvin = replace(RUN, end_temperature_C=21.5)
    assert check_working(parse_heat_capacity("463.5"), one_kelvin).verdict == FOLLOWS


def test_a_value_further_off_than_three_digits_can_be_rounded_does_not_follow() -> None:
    """1 % above the value with the largest school g, 10 N/kg (135.0), is 136.35."""
    assert check_working(parse_heat_capacity("136.3"), RUN).verdict == FOLLOWS
    assert check_working(parse_heat_capacity("136.45"), RUN).verdict == UNEXPLAINED


@pytest.mark.parametrize(
    ("typed", "slip"),
    [
        ("7.55", "upside-down-ratio"),  # 1000 × 3.5 / 463.5
        ("2.65", "one-fall"),  # 9.81 × 0.945 / 3.5
        ("132435", "grams-for-kilograms"),
        ("0.132", "per-gram"),
        ("13243", "centimetres-for-metres"),
        ("22.6", "start-temperature-as-warming"),  # 463.5 / 20.5
        ("19.3", "end-temperature-as-warming"),  # 463.5 / 24.0
        ("1.676", "kelvin-added"),  # 463.5 / 276.5
        ("140.1", "end-allowance-forgotten"),  # 9.81 × 1.0 × 50 / 3.5
        ("13.5", "gravity-left-out"),
        ("66.2", "half-the-falls"),
        ("265", "twice-the-falls"),
        ("39.7", "mass-not-divided-out"),
        ("39730", "mass-not-divided-out"),  # by 300 g
        ("441.5", "mass-divided-twice"),
        ("0.4415", "mass-divided-twice"),  # by 300 g
        ("463.5", "not-divided-by-warming"),
        ("1622", "multiplied-by-warming"),
        ("-132.4", "wrong-sign"),
        ("0.00755", "upside-down-ratio"),  # 3.5 / 463.5
    ],
)
def test_the_step_that_went_wrong_is_named(typed: str, slip: str) -> None:
    working = check_working(parse_heat_capacity(typed), RUN)
    assert working.verdict == SLIPPED
    assert slip in [found.slip for found in working.slips]
    assert len(working.slips) <= 2


@pytest.mark.parametrize(
    ("slip", "asked"),
    [
        ("one-fall", "How many times did the shot fall?"),
        ("grams-for-kilograms", "about 1000 times off"),
        ("per-gram", "for one gram or for one kilogram"),
        ("centimetres-for-metres", "Which unit of length goes with g"),
        ("start-temperature-as-warming", "By how much did the shot warm?"),
        ("end-temperature-as-warming", "By how much did the shot warm?"),
        ("kelvin-added", "add 273 to a difference"),
        ("end-allowance-forgotten", "the whole length of the tube"),
        ("gravity-left-out", "What makes the shot fall"),
        ("half-the-falls", "once in every half turn"),
        ("twice-the-falls", "once in every half turn"),
        ("mass-not-divided-out", "What happens to it when you solve for c?"),
        ("mass-divided-twice", "How often did you divide by it?"),
        ("not-divided-by-warming", "looks like an energy. What is still to be divided by?"),
        ("multiplied-by-warming", "a larger or a smaller specific heat capacity"),
        ("wrong-sign", "Which temperature comes first"),
        ("upside-down-ratio", "What belongs on top: energy or warming?"),
    ],
)
def test_each_slip_has_its_own_question(slip: str, asked: str) -> None:
    assert asked in str(HINTS[slip])


def test_the_hint_gives_nothing_away_and_the_answer_gives_the_whole_line() -> None:
    found = check_working(parse_heat_capacity("2.65"), RUN).slips[0]
    assert not any(digit in str(found.hint) for digit in "0123456789")
    assert str(found.answer) == "c = g·h·N / w = 9.81 × 0.945 × 50 / 3.5 = 132 J/(kg·K)"


def test_the_answer_has_as_many_digits_as_a_bench_would_write() -> None:
    """9.80665 × 0.945678 × 12 / 3.45678 = 32.19 J/(kg·K)."""
    run = Readings(0.3, 1.0, 0.054322, 12, 20.0, 23.45678)
    (found, *_) = check_working(parse_heat_capacity("-32.2"), run).slips
    assert str(found.answer) == "c = g·h·N / w = 9.81 × 0.9457 × 12 / 3.457 = 32.2 J/(kg·K)"


def test_a_value_that_no_single_slip_explains_gets_the_steps() -> None:
    working = check_working(parse_heat_capacity("77.7"), RUN)
    assert working.verdict == UNEXPLAINED
    assert "step by step" in str(working.slips[0].hint)


def test_a_round_number_far_from_the_readings_does_not_follow_because_it_is_round() -> None:
    assert check_working(parse_heat_capacity("100"), RUN).verdict != FOLLOWS
    assert check_working(parse_heat_capacity("200"), RUN).verdict != FOLLOWS


def test_without_warming_nothing_can_follow() -> None:
    cold = Readings(0.3, 1.0, 0.055, 50, 24.0, 20.5)
    assert check_working(parse_heat_capacity("130"), cold).verdict == NO_WARMING
    level = replace(RUN, end_allowance_m=RUN.tube_length_m)
    assert check_working(parse_heat_capacity("0"), level).verdict == NO_WARMING


@pytest.mark.parametrize("typed", ["", "abc", "130 g", "1,3.0", "12 34"])
def test_a_heat_capacity_that_cannot_be_read_gets_its_sentence(typed: str) -> None:
    with pytest.raises(ReadingProblem):
        parse_heat_capacity(typed)


@given(
    st.decimals(-10_000_000, 10_000_000, places=4),
    st.floats(0.05, 3),
    st.floats(-5, 40),
    st.floats(-5, 40),
    st.integers(1, 500),
)
def test_any_value_against_any_readings_gets_a_verdict(
    typed: object, mass: float, start: float, end: float, count: int
) -> None:
    readings = Readings(mass, 1.0, 0.05, count, start, end)
    working = check_working(parse_heat_capacity(f"{typed:f}"), readings)
    assert working.verdict in {FOLLOWS, SLIPPED, UNEXPLAINED, NO_WARMING}
    assert (working.slips == ()) == (working.verdict in {FOLLOWS, NO_WARMING})


@pytest.mark.parametrize(
    ("typed", "verdict"),
    [("132", FOLLOWS), ("100", UNEXPLAINED), ("0", UNEXPLAINED), ("100.0", UNEXPLAINED)],
)
def test_only_digits_that_were_typed_widen_what_is_allowed(typed: str, verdict: str) -> None:
    """The last digit that is not 0 may be rounded, but nothing by more than a twentieth."""
    assert check_working(parse_heat_capacity(typed), RUN).verdict == verdict


def test_a_digit_is_rounded_by_half_of_itself_and_no_more() -> None:
    """130 stands for 125 to 135; with 9.8 N/kg, 9.8 × 0.945 × 50 / 3.407 is 135.9."""
    run = replace(RUN, end_temperature_C=23.907)
    assert check_working(parse_heat_capacity("130"), run).verdict == UNEXPLAINED


def test_a_value_of_one_digit_is_allowed_a_twentieth_and_no_more() -> None:
    """9.80665 × 1 × 10 / 0.5 = 196.1 J/(kg·K) is 200 to one digit; 9.80665 × 1 × 10 / 0.55 = 178.3 is too,
    but a tenth away."""
    readings = Readings(0.3, 1.0, 0.0, 10, 20.0, 20.5)
    assert check_working(parse_heat_capacity("200"), readings).verdict == FOLLOWS
    assert check_working(parse_heat_capacity("206"), readings).verdict == UNEXPLAINED
    further = replace(readings, end_temperature_C=20.55)
    assert check_working(parse_heat_capacity("200"), further).verdict == UNEXPLAINED


@pytest.mark.parametrize(("start", "end"), [(0.0, 3.5), (-3.5, 0.0)])
def test_a_temperature_of_zero_degrees_is_no_divisor(start: float, end: float) -> None:
    readings = replace(RUN, start_temperature_C=start, end_temperature_C=end)
    assert check_working(parse_heat_capacity("132"), readings).verdict == FOLLOWS


def test_an_allowance_that_hardly_shows_is_not_named_as_forgotten() -> None:
    """g·L·N/w is 140.1 J/(kg·K) for 1 m, 4 % above the value; for 1.1 m it is 157.1 with g = 10 N/kg, less
    than 2 % above the value, which is lost among roundings."""
    for allowance_m, length_m, typed in ((0.04, 1.0, "140.1"), (0.02, 1.1, "156.8")):
        readings = replace(RUN, end_allowance_m=allowance_m, tube_length_m=length_m)
        slips = [one.slip for one in check_working(parse_heat_capacity(typed), readings).slips]
        assert ("end-allowance-forgotten" in slips) is (allowance_m == 0.04)


def test_a_value_of_one_digit_says_no_more_than_five_parts_in_a_hundred() -> None:
    """With 10 N/kg: 10 × 0.948 × 40 / 2 = 189.6 J/(kg·K), 200 is 5.5 % more; than 190.8 it is 4.8 % more."""
    run = replace(RUN, end_allowance_m=0.052, inversions=40, end_temperature_C=22.5)
    assert check_working(parse_heat_capacity("200"), run).verdict != FOLLOWS
    nearer = replace(run, end_allowance_m=0.046)
    assert check_working(parse_heat_capacity("200"), nearer).verdict == FOLLOWS
