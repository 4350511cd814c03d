"""Typed text to exact SI numbers, for the numbers that a bench types.

One reading in, one `Reading` out, or a `ReadingProblem` whose message says what happened and what to do.
Nothing is guessed and nothing is repaired: a text that could mean two numbers is refused. `.` and `,` are
both decimal marks, so neither is ever a grouping mark. What is impossible is refused here; what is only
unlikely is asked about in `app.physics.asking.questions`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from app.physics.limits import (
    ACCEPTED_J_PER_KG_K,
    GRAVITY_M_PER_S2,
    LENGTH_M,
    LONGEST_TYPED,
    MOST_INVERSIONS,
    ROOM_TEMPERATURE_C,
    SHOT_MASS_KG,
)
from app.physics.reading.text import plain_text
from app.physics.reading.units import (
    GRAVITY_UNITS,
    HEAT_CAPACITY_UNITS,
    INVERSIONS,
    LENGTH_UNITS,
    MASS_UNITS,
    TEMPERATURE_UNITS,
    Unit,
    unit_named,
    without_powers,
)
from app.words import N_, Message

_NUMBER = re.compile(r"(?P<sign>[+-]?) ?(?P<number>[0-9]*(?:[.,][0-9]+)?)(?P<rest>.*)", re.DOTALL)


class ReadingProblem(ValueError):
    """The text is not a possible reading; `message` is the one sentence for the person who typed it."""

    def __init__(self, message: Message) -> None:
        super().__init__(str(message))
        self.message = message


@dataclass(frozen=True)
class ParsedNumber:
    """A decimal number and the unit text typed behind it (None if there was none)."""

    raw: str
    value: Decimal
    unit: str | None


@dataclass(frozen=True)
class Reading:
    """One reading: as typed, in SI (°C for a temperature), and in the unit that was understood."""

    raw: str
    value: Decimal
    unit: str
    understood: Message
    typed: Decimal
    unit_was_typed: bool = False


def parse_decimal(text: str) -> ParsedNumber:
    """The number in a typed text, exactly. Raises ReadingProblem."""
    if len(text) > LONGEST_TYPED:
        raise _problem(N_("That text is too long for a reading. Type only the number and its unit."))
    plain = plain_text(text)
    if not plain:
        raise _problem(N_("Nothing was typed. Type the reading, for example 23.5."))
    match = _NUMBER.fullmatch(plain)
    number, rest = (match["number"], match["rest"]) if match else ("", plain)
    if match is None or not number:
        raise _not_a_number(text)
    _refuse_a_second_number(text, number, rest)
    value = Decimal(match["sign"] + number.replace(",", "."))
    return ParsedNumber(text, value if value else abs(value), rest.strip() or None)


def parse_mass(text: str, default_unit: str = "g") -> Reading:
    """A mass in kg, inside `SHOT_MASS_KG`. Raises ReadingProblem."""
    reading = _parse(text, default_unit, MASS_UNITS, "g, kg")
    if reading.value < 0:
        raise _problem(N_("A mass cannot be negative. Read the balance again."))
    if reading.value == 0:
        raise _problem(N_("A mass of zero cannot warm up. Read the balance again with the shot on it."))
    if SHOT_MASS_KG.refuses(reading.value):
        raise _problem(
            N_("%(typed)s is more shot than anyone can tip. Check the number and its unit."), typed=reading
        )
    return reading


def parse_length(text: str, default_unit: str = "cm", *, may_be_zero: bool = False) -> Reading:
    """A length in m, inside `LENGTH_M`; an end allowance may be 0. Raises ReadingProblem."""
    reading = _parse(text, default_unit, LENGTH_UNITS, "cm, m, mm, in")
    if reading.value < 0:
        raise _problem(N_("A length cannot be negative. Measure it again."))
    if reading.value == 0 and not may_be_zero:
        raise _problem(N_("A length of zero leaves no fall. Measure the tube again."))
    if reading.value > LENGTH_M.refused_outside.most:
        raise _problem(
            N_("%(typed)s is longer than any tube here. Check the number and its unit."), typed=reading
        )
    return reading


def parse_depth(text: str, default_unit: str = "cm") -> Reading:
    """How deep settled shot lies, in m, more than nothing. Raises ReadingProblem."""
    reading = parse_length(text, default_unit, may_be_zero=True)
    if reading.value == 0:
        raise _problem(
            N_(
                "The shot has a depth. Hold the tube upright and measure from the lower cap to the top of "
                "the shot."
            )
        )
    return reading


def parse_temperature(text: str, default_unit: str = "°C") -> Reading:
    """A temperature in °C, as thermometers show it. °F is converted to 20 decimals. Raises ReadingProblem."""
    reading = _parse(text, default_unit, TEMPERATURE_UNITS, "°C, °F")
    if ROOM_TEMPERATURE_C.refuses(reading.value):
        raise _problem(
            N_("%(typed)s cannot be right here. Check the decimal mark, and read the thermometer again."),
            typed=reading,
        )
    return reading


def parse_count(text: str) -> Reading:
    """A whole number of inversions from 1 to MOST_INVERSIONS. Raises ReadingProblem."""
    parsed = parse_decimal(text)
    if parsed.unit is not None and unit_named(parsed.unit, INVERSIONS) is None:
        raise _problem(
            N_("The unit “%(unit)s” does not fit here. Type only the count of inversions."), unit=parsed.unit
        )
    if any(mark in plain_text(text) for mark in ".,"):
        raise _problem(
            N_("“%(typed)s” is not a whole number. Type the count of inversions without a decimal mark."),
            typed=text.strip(),
        )
    if parsed.value < 0:
        raise _problem(N_("A count of inversions cannot be negative. Type how often the tube was turned."))
    if parsed.value == 0:
        raise _problem(N_("With zero inversions nothing has fallen. Type how often the tube was turned."))
    if parsed.value > MOST_INVERSIONS:
        raise ReadingProblem(too_many_inversions(parsed.value))
    understood = Message("%(number)s", {"number": decimal_text(parsed.value)})
    return Reading(text, parsed.value, "inversions", understood, parsed.value, parsed.unit is not None)


def parse_heat_capacity(text: str) -> Reading:
    """A specific heat capacity, in J/(kg·K) where no unit is typed. Raises ReadingProblem."""
    reading = _parse(without_powers(text), "J/(kg·K)", HEAT_CAPACITY_UNITS, "J/(kg·K), kJ/(kg·K)")
    return replace(reading, raw=text)


def parse_accepted_heat_capacity(text: str) -> Decimal:
    """An accepted specific heat capacity, exactly, in J/(kg·K). Raises ReadingProblem."""
    value = parse_heat_capacity(text).value
    if value not in ACCEPTED_J_PER_KG_K:
        raise _problem(
            N_(
                "An accepted value lies between %(least)s and %(most)s J/(kg·K); 0 would make every percent"
                " error infinite. Check it."
            ),
            least=decimal_text(ACCEPTED_J_PER_KG_K.least),
            most=decimal_text(ACCEPTED_J_PER_KG_K.most),
        )
    return value


def parse_gravity(text: str) -> Decimal:
    """g in m/s² (or N/kg), as it can be at the Earth's surface. Raises ReadingProblem."""
    parsed = parse_decimal(without_powers(text))
    known = parsed.unit is None or unit_named(parsed.unit, GRAVITY_UNITS) is not None
    if not known or parsed.value not in GRAVITY_M_PER_S2:
        raise _problem(
            N_("On Earth g lies between %(least)s and %(most)s m/s². Check it."),
            least=decimal_text(GRAVITY_M_PER_S2.least),
            most=decimal_text(GRAVITY_M_PER_S2.most),
        )
    return parsed.value


def too_many_inversions(count: Decimal) -> Message:
    """The sentence for a count above MOST_INVERSIONS."""
    return Message(
        N_("%(typed)s inversions are more than a lesson has time for. Check the count."),
        {"typed": decimal_text(count)},
    )


def decimal_text(value: Decimal) -> str:
    """The decimal in full, with a decimal point, never with a power of ten."""
    return format(value, "f")


def _parse(text: str, default_unit: str, units: Mapping[str, Unit], offered: str) -> Reading:
    parsed = parse_decimal(text)
    unit = unit_named(default_unit if parsed.unit is None else parsed.unit, units)
    if unit is None:
        raise _problem(
            N_("The unit “%(unit)s” does not fit here. Use one of: %(offered)s."),
            unit=str(parsed.unit),
            offered=offered,
        )
    understood = Message(
        N_("%(number)s %(unit)s"), {"number": decimal_text(parsed.value), "unit": unit.symbol}
    )
    return Reading(
        text, unit.to_si(parsed.value), unit.symbol, understood, parsed.value, parsed.unit is not None
    )


def _refuse_a_second_number(text: str, number: str, rest: str) -> None:
    """Refuse what is left when it holds more of a number: marks, grouping, powers, several numbers."""
    if re.match(r"[eE] ?[+-]?[0-9]|\^|\*|[x×·⋅] ?1", rest.lstrip()):
        raise _problem(N_("Write the number out in full, without a power of ten or a sum."))
    marks = [character for character in number + rest if character in ".,"]
    if len(set(marks)) == 2 and re.search(r"[.,][0-9]", rest):
        raise _problem(N_("Do not group the digits. Write 1234.5 or 1234,5."))
    if re.match(r"[.,][.,0-9]|[.,] [0-9]", rest):
        raise (
            _problem(
                N_("There is more than one decimal mark in “%(typed)s”. Write 1234.5 or 1234,5."),
                typed=text.strip(),
            )
            if marks.count(marks[0]) > 1
            else _half_typed(text)
        )
    if re.fullmatch(r"[.,]\s*[^0-9.,]*", rest):
        raise _half_typed(text)
    if re.match(r"['’ _][0-9]", rest):
        raise _problem(
            N_("“%(typed)s” has a gap inside the number. Write 1234.5 or 1234,5."), typed=text.strip()
        )
    if any(character.isnumeric() for character in rest):
        raise _problem(
            N_("There is more than one number in “%(typed)s”. Type one number and its unit."),
            typed=text.strip(),
        )


def _half_typed(text: str) -> ReadingProblem:
    return _problem(
        N_("“%(typed)s” stops at its decimal mark. Type the digits after it, or leave the mark out."),
        typed=text.strip(),
    )


def _not_a_number(text: str) -> ReadingProblem:
    return _problem(
        N_("“%(typed)s” is not a number. Type the reading in digits, for example 23.5."), typed=text.strip()
    )


def _problem(template: str, **values: str | Reading) -> ReadingProblem:
    said = {
        name: str(value.understood) if isinstance(value, Reading) else value for name, value in values.items()
    }
    return ReadingProblem(Message(template, said))
