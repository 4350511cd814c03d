"""c = g·h·N / w line by line: is each of the four numbers what the bench's own readings give?

A line that is not gets one hint, about the slip that would explain it: a unit, a length not taken off,
N forgotten, start and end exchanged. Whether c then follows is for `app.physics.working` to say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from app.physics.reading.readings import ReadingProblem, parse_decimal
from app.physics.reading.units import (
    GRAVITY_UNITS,
    INVERSIONS,
    LENGTH_UNITS,
    TEMPERATURE_UNITS,
    ZERO_CELSIUS_K,
    Unit,
    unit_named,
    without_powers,
)
from app.physics.run import Readings
from app.physics.working import HINTS, SCHOOL_GRAVITIES, TOLERANCE, is_near
from app.words import N_, Message

_HERE = {"e": "9.8"}
_GRAVITY = Message(
    N_("g is how strongly the Earth pulls at each kilogram: about %(e)s m/s² everywhere."), _HERE
)
_METRES = Message(N_("Which unit is your h in? It goes in metres, because g is in m/s²."))
_ADDED = Message(N_("Caps and settled shot take something off the length: was it added?"))
_LEFT = Message(N_("That is what caps and settled shot take. How much of the length is left for the fall?"))
_FALL = Message(N_("h is the length of the tube less the end allowance, in metres."))
_COUNT = Message(N_("N is the count of falls that you sent with this run."))
_ALL_FALLS = Message(N_("That is one fall. N counts every fall of the run."))
_A_TEMPERATURE = Message(N_("That is a temperature. By how much did the shot warm?"))
_WARMING = Message(N_("w is the END temperature less the START temperature."))
_UNIT = Message(N_("That unit does not belong to this line. Type the number alone."))


@dataclass(frozen=True)
class _Line:
    """What is right, what each slip would give, and what is said where none does."""

    right: tuple[float, ...]
    slips: tuple[tuple[Message, tuple[float, ...]], ...]
    otherwise: Message
    units: Mapping[str, Unit]


def _g(_readings: Readings, gravity_m_per_s2: float) -> _Line:
    return _Line((gravity_m_per_s2, *SCHOOL_GRAVITIES), (), _GRAVITY, GRAVITY_UNITS)


def _h(readings: Readings, _gravity: float) -> _Line:
    fall, length = readings.fall_m, readings.tube_length_m
    taken = length - fall
    # Metres first: a bare number may be in any other unit of length too.
    scales = [float(1 / unit.numerator) for unit in dict.fromkeys(LENGTH_UNITS.values())]
    whole, both, ends = ([scale * one for scale in scales] for one in (length, length + taken, taken))
    slips = (
        (_METRES, tuple(scale * fall for scale in scales[1:])),
        (HINTS["end-allowance-forgotten"], tuple(whole)),
        (_ADDED, tuple(both)),
        (_LEFT, tuple(ends)),
    )
    return _Line((fall,), slips, _FALL, LENGTH_UNITS)


def _n(readings: Readings, _gravity: float) -> _Line:
    n = float(readings.inversions)
    slips = ((_ALL_FALLS, (1.0,)), (HINTS["half-the-falls"], (n / 2, 2 * n)))
    return _Line((n,), slips, _COUNT, INVERSIONS)


def _w(readings: Readings, _gravity: float) -> _Line:
    w, start, end = readings.warming_K, readings.start_temperature_C, readings.end_temperature_C
    slips = (
        (HINTS["wrong-sign"], (-w,)),
        (_A_TEMPERATURE, (start, end, start + end)),
        (HINTS["kelvin-added"], (w + ZERO_CELSIUS_K, w + int(ZERO_CELSIUS_K))),
    )
    return _Line((w,), slips, _WARMING, _DIFFERENCES)


_DIFFERENCES: Mapping[str, Unit] = {
    name: Unit(unit.symbol) for name, unit in TEMPERATURE_UNITS.items() if unit.symbol in ("°C", "K")
}
"""A difference in °C is the same number in kelvin (SI Brochure, 9th ed.)."""

_LINES: Mapping[str, Callable[[Readings, float], _Line]] = MappingProxyType(
    {"g": _g, "h": _h, "N": _n, "w": _w}
)
LINES = tuple(_LINES)
"""In the order in which they are filled in."""


def hint_about(line: str, text: str, readings: Readings, gravity_m_per_s2: float) -> Message | None:
    """None where the typed number is right, else the one thing to look at. Domain: `line` of `LINES`.

    Right is within 1 %, and a count is exact. What is no number gets the sentence of a reading that is none.
    """
    about = _LINES[line](readings, gravity_m_per_s2)
    try:
        parsed = parse_decimal(without_powers(text))
    except ReadingProblem as problem:
        return problem.message
    unit = unit_named(parsed.unit, about.units) if parsed.unit else None
    if parsed.unit and unit is None:
        return _UNIT
    value = float(unit.to_si(parsed.value) if unit else parsed.value)
    if _is_one_of(value, about.right, exact=line == "N"):
        return None
    return next((hint for hint, values in about.slips if _is_one_of(value, values)), about.otherwise)


def _is_one_of(value: float, wanted: Iterable[float], exact: bool = False) -> bool:
    return any(is_near(value, one, 0.0 if exact else TOLERANCE) for one in wanted)
