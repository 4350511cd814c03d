"""Typed text becomes exactly the number that was typed, or one sentence that says what to do."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from app.physics.limits import can_be_stored
from app.physics.reading.readings import (
    Reading,
    ReadingProblem,
    parse_count,
    parse_decimal,
    parse_depth,
    parse_length,
    parse_mass,
    parse_temperature,
)
from app.physics.reading.text import with_unit


@pytest.mark.parametrize(
    ("typed", "kilograms"),
    [
        ("340", "0.340"),
        ("340 g", "0.340"),
        ("340g", "0.340"),
        ("0.34kg", "0.34"),
        ("0,34 KG", "0.34"),
        ("  0,34\u00a0kg ", "0.34"),
        ("３４０ ｇ", "0.340"),
        ("٣٤٠ غ", "0.340"),
        ("340,5 Grams", "0.3405"),
        ("1,234", "0.001234"),
        ("+340", "0.340"),
    ],
)
def test_a_mass_is_read_exactly_in_grams_or_kilograms(typed: str, kilograms: str) -> None:
    reading = parse_mass(typed)
    assert reading.value == Decimal(kilograms)
    assert reading.raw == typed


@pytest.mark.parametrize(
    ("typed", "metres"),
    [
        ("98", "0.98"),
        ("98.4 cm", "0.984"),
        ("0,984 m", "0.984"),
        ("984 mm", "0.984"),
        ("38.74 in", "0.983996"),  # an inch is exactly 25.4 mm (1959 agreement)
        ('38.74"', "0.983996"),
        ("38,74 Zoll", "0.983996"),
        (".5m", "0.5"),
        ("98 cm.", "0.98"),
    ],
)
def test_a_length_is_read_exactly_in_any_unit_of_a_ruler(typed: str, metres: str) -> None:
    assert parse_length(typed).value == Decimal(metres)


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [
        ("21.5", "21.5"),
        ("21,5 °C", "21.5"),
        ("21.5 ºC", "21.5"),
        ("21.5℃", "21.5"),
        ("21.5 deg C", "21.5"),
        ("\u22123,5", "-3.5"),
        ("\uff0d3.5", "-3.5"),
        ("- 3.5", "-3.5"),
        ("68 °F", "20"),
        ("32F", "0"),
        ("212 Fahrenheit", "100"),  # the boiling point of water by definition of the scale
        ("100.4 ℉", "38"),
        ("293.15 K", "20"),
    ],
)
def test_a_temperature_is_read_in_celsius_fahrenheit_or_kelvin(typed: str, celsius: str) -> None:
    reading = parse_temperature(typed)
    assert reading.value == Decimal(celsius)
    assert "E" not in str(reading.value)


def test_a_fahrenheit_reading_without_a_finite_decimal_is_rounded_far_below_any_thermometer() -> None:
    assert parse_temperature("69 F").value == Decimal("20.55555555555555555556")


@pytest.mark.parametrize(
    ("typed", "count"), [("50", 50), (" 50 ", 50), ("５０", 50), ("50 inversions", 50), ("50x", 50)]
)
def test_a_count_is_a_whole_number(typed: str, count: int) -> None:
    assert parse_count(typed).value == count


def test_the_bench_sees_what_was_understood_in_its_own_unit() -> None:
    assert str(parse_mass("0,34 kg").understood) == "0.34 kg"
    assert str(parse_length("98").understood) == "98 cm"
    assert str(parse_temperature("\u22123").understood) == "-3 °C"
    assert str(parse_count("50").understood) == "50"


def test_the_unit_of_the_field_is_used_when_none_was_typed() -> None:
    assert parse_mass("0.34", "kg").value == Decimal("0.34")
    assert parse_length("984", "mm").value == Decimal("0.984")
    assert parse_temperature("68", "°F").value == 20
    assert parse_mass("0.34", "kg").unit_was_typed is False
    assert parse_mass("340 g", "kg").unit_was_typed is True


def test_an_end_allowance_may_be_zero_and_a_tube_may_not() -> None:
    assert parse_length("0", may_be_zero=True).value == 0
    with pytest.raises(ReadingProblem, match="leaves no fall"):
        parse_length("0")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Nothing was typed"),
        ("   ", "Nothing was typed"),
        ("\u200e", "Nothing was typed"),
        ("abc", "is not a number"),
        ("NaN", "is not a number"),
        ("inf", "is not a number"),
        ("--5", "is not a number"),
        ("½", "is not a number"),
        ("1,234.5", re.escape("Write 1234.5 or 1234,5")),
        ("1.234,5", re.escape("Write 1234.5 or 1234,5")),
        ("1.2.3", "more than one decimal mark"),
        ("1,234,567", "more than one decimal mark"),
        ("5..", "more than one decimal mark"),
        ("12. 5", "stops at its decimal mark"),
        ("5.", "stops at its decimal mark"),
        ("5, g", "stops at its decimal mark"),
        ("1 234", "gap inside the number"),
        ("1'234", "gap inside the number"),
        ("1\u202f234", "gap inside the number"),
        ("10^9", "without a power of ten"),
        ("1e3", "without a power of ten"),
        ("3 × 10^2", "without a power of ten"),
        ("10²", "more than one number"),
        ("340 g 12", "more than one number"),
        ("340±5", "more than one number"),
        ("20-21", "more than one number"),
        ("3" * 10_240, "too long for a reading"),
        ("x" * 10_240, "too long for a reading"),
        ("340 stone", "unit “stone” does not fit"),
        ("-340", "mass cannot be negative"),
        ("\u2212340", "mass cannot be negative"),
        ("0", "mass of zero"),
        ("0,00", "mass of zero"),
        ("1000000000", "more shot than anyone can tip"),
    ],
)
def test_a_mass_that_cannot_be_gets_its_own_sentence(typed: str, sentence: str) -> None:
    with pytest.raises(ReadingProblem, match=sentence):
        parse_mass(typed)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("2.5", "not a whole number"),
        ("50,0", "not a whole number"),
        ("40,000", "not a whole number"),
        ("0", "zero inversions"),
        ("-3", "cannot be negative"),
        ("1000000", "more than a lesson has time for"),
        ("fifty", "is not a number"),
        ("50 g", "unit “g” does not fit"),
    ],
)
def test_a_count_that_cannot_be_gets_its_own_sentence(typed: str, sentence: str) -> None:
    with pytest.raises(ReadingProblem, match=sentence):
        parse_count(typed)


@pytest.mark.parametrize("typed", ["1000000000", "-50", "200", "500 F"])
def test_an_impossible_temperature_is_refused(typed: str) -> None:
    with pytest.raises(ReadingProblem, match="cannot be right here"):
        parse_temperature(typed)


def test_a_length_beyond_any_tube_is_refused() -> None:
    with pytest.raises(ReadingProblem, match="longer than any tube"):
        parse_length("10^9".replace("10^9", "1000000000"))
    with pytest.raises(ReadingProblem, match="length cannot be negative"):
        parse_length("-98")


def test_the_sentence_can_be_translated_because_its_values_stand_apart() -> None:
    with pytest.raises(ReadingProblem) as caught:
        parse_decimal("abc")
    assert caught.value.message.values == {"typed": "abc"}
    assert "%(typed)s" in caught.value.message.template


def test_a_per_cent_sign_in_the_typed_text_does_no_harm() -> None:
    with pytest.raises(ReadingProblem, match="100%"):
        parse_mass("abc 100%s")


def test_a_reading_keeps_the_typed_number_beside_the_si_value() -> None:
    reading = parse_mass("340")
    assert reading == Reading("340", Decimal("0.340"), "g", reading.understood, Decimal(340))


def test_a_number_is_stored_digit_for_digit_or_not_at_all() -> None:
    """From 10⁻¹⁸ to below 10¹³, in 64 characters at most: the widths of the columns that hold them."""
    longest = "0." + "1" * 62
    for stored in ("0", "-0.000000000000000001", "1e-18", "9.99e12", "-9.99e12", longest):
        assert can_be_stored(Decimal(stored)), stored
    for refused in ("9.99e-19", "1e13", "-1e13", f"{longest}1", "NaN", "Infinity"):
        assert not can_be_stored(Decimal(refused)), refused


def test_sixty_characters_are_a_reading_and_one_more_is_a_text() -> None:
    assert parse_count(" " * 58 + "50").value == 50
    with pytest.raises(ReadingProblem, match="too long"):
        parse_count(" " * 59 + "50")


def test_settled_shot_has_a_depth() -> None:
    assert parse_depth("5.2").value == Decimal("0.052")
    for typed, sentence in (("0", "The shot has a depth"), ("-1", "cannot be negative")):
        with pytest.raises(ReadingProblem, match=sentence):
            parse_depth(typed)


@pytest.mark.parametrize(
    ("raw", "unit", "shown"),
    [
        (" 340 ", "g", "340 g"),
        ("-3.5", "°C", "-3.5 °C"),
        ("−3,5", "°C", "−3,5 °C"),
        ("340 g", "g", "340 g"),
        ("1.2.3", "g", "1.2.3"),
        ("50", "inversions", "50"),
        ("50", "", "50"),
    ],
)
def test_what_was_typed_is_shown_with_its_unit_once(raw: str, unit: str, shown: str) -> None:
    assert with_unit(raw, unit) == shown
