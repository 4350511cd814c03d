"""The ice-point reading: what a bench's own thermometer shows in melting ice, where 0.00 °C is true.

It says by how much the thermometer is off, and no more: one point shows no error of its scale. A warming is
the difference of two readings of one thermometer, so this drops out of it. What it changes is every
comparison with a temperature that another thermometer read, above all the room's.
"""

from __future__ import annotations

from app.physics.limits import ICE_POINT_C
from app.physics.reading.readings import Reading, ReadingProblem, decimal_text, parse_temperature
from app.physics.reading.units import FAHRENHEIT
from app.words import N_, Message

NOT_OF_ICE = N_(
    "In melting ice a thermometer shows between %(least)s and %(most)s °C, not %(typed)s. Read it in ice and "
    "water, stirred, once it no longer changes; or leave this empty."
)
PERHAPS_FAHRENHEIT = N_(
    "In melting ice a thermometer shows between %(least)s and %(most)s °C, not %(typed)s. If yours shows °F, "
    "write %(meant)s."
)


def parse_ice_point(text: str, default_unit: str = "°C") -> Reading:
    """A reading in melting ice in °C, inside `ICE_POINT_C`. Raises ReadingProblem."""
    reading = parse_temperature(text, default_unit)
    if not ICE_POINT_C.refuses(reading.value):
        return reading
    bounds = ICE_POINT_C.refused_outside
    values = {
        "typed": str(reading.understood),
        "least": decimal_text(bounds.least).replace("-", "\N{MINUS SIGN}"),
        "most": decimal_text(bounds.most),
    }
    if not reading.unit_was_typed and reading.unit == "°C" and FAHRENHEIT.to_si(reading.typed) in bounds:
        meant = f"{decimal_text(reading.typed)}\N{NO-BREAK SPACE}°F"
        raise ReadingProblem(Message(PERHAPS_FAHRENHEIT, {**values, "meant": meant}))
    raise ReadingProblem(Message(NOT_OF_ICE, values))
