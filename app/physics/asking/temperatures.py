"""Questions about temperatures: of the shot, of the room, and of melting ice.

A class's room is read by one person for everybody. The shot often starts colder than the room, so that the
leak cancels; its start is then no room temperature. A class whose shot starts at the room's temperature
answers once that it is right.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_CEILING, Decimal

from app.physics.asking.expected_range import LARGEST_HEAT_SINK_J_PER_K, LEAST_SHARE
from app.physics.asking.question import (
    Question,
    RunAsRead,
    TypicalRun,
    asked,
    end_from_warming,
    exchanged,
    in_fahrenheit,
)
from app.physics.energy import specific_fall_energy
from app.physics.limits import (
    FAR_FROM_USUAL_START_K,
    ICE_POINT_C,
    ROOM_TEMPERATURE_C,
    START_TEMPERATURE_C,
    Range,
)
from app.physics.reading.readings import Reading, decimal_text
from app.physics.reading.units import FAHRENHEIT
from app.physics.rounding import one_decimal, one_digit, short
from app.words import N_, Message

ROOM = "room_temperature"
SAME_ROOM_K = 1.0
"""Within this the places of one room differ, so that a bench's own reading is no slip (our own choice)."""
_OF_A_ROOM, _OF_THE_SHOT = ROOM_TEMPERATURE_C.asked_outside, START_TEMPERATURE_C.asked_outside
MOST_OF_THE_ENERGY = 1.2
"""A warming above so many times what the whole fall energy can give is asked about: room for a warm tube and
for the metal's table (our own choice)."""
LEAST_OF_THE_ENERGY, OF_THE_LEAST_USUAL = 0.2, 0.7
"""A warming below a fifth of it, or of the least that is usual for so little shot, too (our own choice)."""
SWAPPED = N_("The start (%(start)s °C) is above the end (%(end)s °C): are the two swapped?")

LIKE_THE_START = N_(
    "%(read)s °C is what the shot starts at too. Is it the temperature of the room, read in the air?"
)
FAR_OFF = N_("More than %(most)s K off: read it again in ice and water, stirred, or use another thermometer.")
SAME_WITHIN_K = 0.05  # our own choice
"""Two readings in tenths of a kelvin are the same where they differ by less."""


def unlikely_start(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """A start temperature that no room has (°F perhaps), or far from the class's."""
    start = run.start_temperature
    question = _unlike_a_room("start_temperature", start, typical)
    if question or start is None or typical.start_temperature_C is None:
        return question
    if abs(float(start.value) - typical.start_temperature_C) <= FAR_FROM_USUAL_START_K:
        return None
    sentence = N_("A start at %(read)s °C is far from the rest of the class. Is it right?")
    return asked("start_temperature", sentence, read=decimal_text(start.value))


def unlikely_end(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """An end below the start, equal to it, or warmer than the whole fall energy could make the shot."""
    field = "end_temperature"
    start, end = run.start_temperature, run.end_temperature
    if end is None or start is None:
        return _unlike_a_room(field, end, typical)
    read = {"start": decimal_text(start.value), "end": decimal_text(end.value)}
    most = _most_warming_K(run, typical)
    if end.value < start.value:
        summed = start.value + end.value
        # A warming is at most thrice the likely one: our own choice.
        is_a_warming = most is not None and 0 < end.value <= Decimal(str(round(3 * most, 6)))
        if is_a_warming and summed <= _OF_THE_SHOT.most:
            sentence = N_(
                "%(end)s °C is colder than the start. Is it the warming? The end temperature is needed here."
            )
            said = Message(sentence, {"end": read["end"]})
            return Question(field, said, summed, end_from_warming(start, end))
        return Question(field, Message(SWAPPED, read), start.value, exchanged(start, end))
    if end.value == start.value:
        sentence = N_("Start and end are both %(end)s °C. Did you read the thermometer again after tipping?")
        return asked(field, sentence, **read)
    rise = float(end.value - start.value)
    hot = _unlike_a_room(field, end, typical)
    if hot and hot.suggested is not None and hot.suggested >= start.value:
        return hot
    if most is not None and rise > MOST_OF_THE_ENERGY * most:
        sentence = N_(
            "From %(start)s to %(end)s °C is more than the whole fall energy could warm the shot "
            "(about %(most)s K). A tube warmer than the shot does this. Are both readings and the count "
            "right?"
        )
        return asked(field, sentence, **read, most=decimal_text(one_digit(most, ROUND_CEILING)))
    if most is not None and rise < _least_share(run, typical) * most:
        sentence = N_(
            "From %(start)s to %(end)s °C is very little for so many inversions. Are both readings and the "
            "count right?"
        )
        return asked(field, sentence, **read)
    return hot


def unlikely_room(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """A room that no room is like, or the shot's start once more where the class's room is another."""
    room, start, usual = run.room_temperature, run.start_temperature, typical.room_temperature_C
    question = unlikely_in_a_room(ROOM, room)
    if question or room is None or start is None or room.value != start.value:
        return question
    if usual is not None and abs(float(room.value) - usual) <= SAME_ROOM_K:
        return None
    return asked(ROOM, LIKE_THE_START, read=decimal_text(room.value))


def unlikely_room_of_class(room: Reading, starts_C: Iterable[float]) -> Question | None:
    """Asked about where no room is so warm, or where the shot starts at that very temperature.

    `starts_C`: where the plan lets the shot start, and where it started.
    """
    question = unlikely_in_a_room(ROOM, room)
    if question is not None:
        return question
    if not any(abs(float(room.value) - start) < SAME_WITHIN_K for start in starts_C):
        return None
    return asked(ROOM, LIKE_THE_START, read=decimal_text(room.value))


def unlikely_in_a_room(field: str, reading: Reading | None, usual: Range = _OF_A_ROOM) -> Question | None:
    """Outside what is usual in a room; from what is usual there in °F, that is asked."""
    if reading is None or reading.value in usual:
        return None
    celsius = FAHRENHEIT.to_si(reading.value)
    if reading.unit == "°C" and celsius in usual:
        sentence = N_("%(read)s °C is hot for a room: did you mean %(read)s °F (%(meant)s °C)?")
        values = {"read": decimal_text(reading.value), "meant": one_decimal(float(celsius))}
        return Question(field, Message(sentence, values), celsius, in_fahrenheit(field, reading))
    sentence = N_("%(read)s °C is unusual for a room. Is it right?")
    return asked(field, sentence, read=short(float(reading.value), 4))


def far_off(ice_point_C: Decimal) -> Message | None:
    """What is said, once, of a thermometer that shows this in melting ice; None for one that is near."""
    if ice_point_C in ICE_POINT_C.asked_outside:
        return None
    return Message(FAR_OFF, {"most": decimal_text(ICE_POINT_C.asked_outside.most)})


def _unlike_a_room(field: str, reading: Reading | None, typical: TypicalRun) -> Question | None:
    """The same for the shot, unless it is planned to start colder or hotter than any room."""
    planned = typical.start_temperature_C
    if planned is not None and planned not in _OF_THE_SHOT:
        return None
    return unlikely_in_a_room(field, reading, _OF_THE_SHOT)


def _most_warming_K(run: RunAsRead, typical: TypicalRun) -> float | None:
    """The warming if all fall energy stayed in the shot; None where it cannot be known yet."""
    c = typical.heat_capacity_J_per_kg_K
    if run.tube_length is None or run.inversions is None or c is None or not c > 0:
        return None
    return specific_fall_energy(float(run.tube_length.value), float(run.inversions.value)) / c


def _least_share(run: RunAsRead, typical: TypicalRun) -> float:
    """A fifth of the warming that the shot alone could have; less where the shot is so light that the
    largest heat sink takes more than that."""
    c = typical.heat_capacity_J_per_kg_K
    if run.shot_mass is None or not c:
        return LEAST_OF_THE_ENERGY
    mass_kg = float(run.shot_mass.value)
    usual = LEAST_SHARE * c / (c + LARGEST_HEAT_SINK_J_PER_K / max(mass_kg, 1e-6))
    return min(LEAST_OF_THE_ENERGY, OF_THE_LEAST_USUAL * usual)
