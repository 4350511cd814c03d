"""Whatever is typed: a ReadingProblem or exactly the typed value, nothing else.

100,000 examples with HYPOTHESIS_PROFILE=long.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.physics.reading.readings import (
    ReadingProblem,
    parse_count,
    parse_decimal,
    parse_length,
    parse_mass,
    parse_temperature,
)
from tests.as_typed import ANYTHING, LIKELY

DIGIT_SETS = ["0123456789", "０１２３４５６７８９", "٠١٢٣٤٥٦٧٨٩", "۰۱۲۳۴۵۶۷۸۹"]
SPACES = st.text(alphabet=" \t\u00a0\u2009\u202f\u3000", max_size=2)
MARKS = st.sampled_from([".", ",", "．", "，", "٫"])
MINUSES = st.sampled_from(["-", "\u2212", "\uff0d", "\ufe63"])
MASS_FACTORS = {"g": Fraction(1, 1000), "G": Fraction(1, 1000), "kg": Fraction(1), "KG": Fraction(1)}
LENGTH_FACTORS = {
    "m": Fraction(1),
    "cm": Fraction(1, 100),
    "CM": Fraction(1, 100),
    "ｃｍ": Fraction(1, 100),
    "mm": Fraction(1, 1000),
    "in": Fraction(254, 10000),
    '"': Fraction(254, 10000),
}


@st.composite
def typed_numbers(draw: st.DrawFn, most_whole_digits: int = 4) -> tuple[str, Fraction]:
    """A number as somebody might type it, and its value worked out digit by digit."""
    whole = draw(st.lists(st.integers(0, 9), min_size=1, max_size=most_whole_digits))
    decimals = draw(st.lists(st.integers(0, 9), max_size=6))
    digits = draw(st.sampled_from(DIGIT_SETS))
    text = "".join(digits[d] for d in whole)
    if decimals:
        text += draw(MARKS) + "".join(digits[d] for d in decimals)
    value = Fraction(int("".join(map(str, whole + decimals))), 10 ** len(decimals))
    return text, value


@given(typed_numbers(), st.booleans(), MINUSES, SPACES, SPACES, SPACES)
def test_every_way_to_type_a_number_keeps_its_value(
    number: tuple[str, Fraction], negative: bool, minus: str, before: str, between: str, after: str
) -> None:
    text, value = number
    typed = before + (minus + between if negative else "") + text + after
    parsed = parse_decimal(typed)
    assert Fraction(parsed.value) == (-value if negative else value)
    assert parsed.raw == typed
    assert parsed.unit is None


@given(typed_numbers(2), SPACES, st.sampled_from(sorted(MASS_FACTORS)))
def test_every_mass_is_converted_exactly(number: tuple[str, Fraction], gap: str, unit: str) -> None:
    text, value = number
    kilograms = value * MASS_FACTORS[unit]
    if not 0 < kilograms <= 25:
        with pytest.raises(ReadingProblem):
            parse_mass(text + gap + unit)
    else:
        assert Fraction(parse_mass(text + gap + unit).value) == kilograms


@given(typed_numbers(), SPACES, st.sampled_from(sorted(LENGTH_FACTORS)))
def test_every_length_is_converted_exactly(number: tuple[str, Fraction], gap: str, unit: str) -> None:
    text, value = number
    metres = value * LENGTH_FACTORS[unit]
    if not 0 < metres <= 10:
        with pytest.raises(ReadingProblem):
            parse_length(text + gap + unit)
    else:
        assert Fraction(parse_length(text + gap + unit).value) == metres


@given(typed_numbers(3), st.booleans(), SPACES, st.sampled_from(["", "°C", "C", "ºC", "℃", "F", "°F", "℉"]))
def test_every_temperature_is_converted_exactly_or_to_twenty_decimals(
    number: tuple[str, Fraction], negative: bool, gap: str, unit: str
) -> None:
    text, value = number
    value = -value if negative else value
    celsius = (value - 32) * Fraction(5, 9) if unit in {"F", "°F", "℉"} else value
    typed = ("\u2212" if negative else "") + text + gap + unit
    try:
        reading = parse_temperature(typed)
    except ReadingProblem:
        assert not Fraction(-40) <= celsius <= 150
    else:
        assert abs(Fraction(reading.value) - celsius) <= Fraction(1, 2 * 10**20)
        assert Fraction(reading.typed) == value


@given(st.integers(-20_000, 2_000_000), st.sampled_from(DIGIT_SETS))
def test_every_count_is_itself_or_refused(count: int, digits: str) -> None:
    typed = ("-" if count < 0 else "") + "".join(digits[int(d)] for d in str(abs(count)))
    try:
        reading = parse_count(typed)
    except ReadingProblem:
        assert not 1 <= count <= 10_000
    else:
        assert reading.value == count


@given(ANYTHING)
def test_any_text_at_all_is_read_or_refused_in_one_sentence(text: str) -> None:
    for parse in (parse_decimal, parse_mass, parse_length, parse_temperature, parse_count):
        try:
            reading = parse(text)
        except ReadingProblem as problem:
            sentence = str(problem.message)
            if not (sentence.endswith(".") and set(problem.message.values) <= {"typed", "unit", "offered"}):
                pytest.fail(f"not one filled-in sentence: {sentence!r}")
        else:
            assert reading.value.is_finite()
            assert reading.raw == text


@given(LIKELY)
def test_what_is_accepted_has_exactly_the_digits_that_were_typed(text: str) -> None:
    """No accepted reading drops, adds or reorders a digit, nor moves its one mark."""
    try:
        parsed = parse_decimal(text)
    except ReadingProblem:
        return
    typed_digits = "".join(
        str(Decimal(c)) if c.isdecimal() else "." if c in ".," else "-" if c in "-−" else ""
        for c in text
        if c.isdecimal() or c in ".,-−"
    )
    assert not any(c.isdecimal() for c in parsed.unit or "")
    leading = typed_digits.rstrip("-.")
    assert Decimal(leading) == parsed.value
