"""Temperatures that are possible but unlikely: no room's, swapped, more warming than all the energy gives."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

from app.physics.asking.corrections import end_from_warming, exchanged, in_fahrenheit
from app.physics.asking.run_as_read import Question, RunAsRead, TypicalRun
from app.physics.energy import specific_fall_energy
from app.physics.limits import FAR_FROM_USUAL_START_K, ROOM_TEMPERATURE_C
from app.physics.reading.readings import Reading, decimal_text
from app.physics.rounding import one_digit, short
from app.words import N_, Message

_OF_A_ROOM = ROOM_TEMPERATURE_C.asked_outside
SWAPPED = N_("The start (%(start)s °C) is above the end (%(end)s °C): are the two swapped?")


def unlikely_start(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """A start temperature that no room has (°F perhaps), or far from the class's."""
    start = run.start_temperature
    question = _unlike_a_room("start_temperature", start, typical)
    if question or start is None or typical.start_temperature_C is None:
        return question
    if abs(float(start.value) - typical.start_temperature_C) <= FAR_FROM_USUAL_START_K:
        return None
    return Question(
        "start_temperature",
        Message(
            N_("A start at %(read)s °C is far from the rest of the class. Is it right?"),
            {"read": decimal_text(start.value)},
        ),
    )


def unlikely_end(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """An end below the start, equal to it, or warmer than the whole fall energy could make the shot."""
    start, end = run.start_temperature, run.end_temperature
    if end is None or start is None:
        return _unlike_a_room("end_temperature", end, typical)
    read = {"start": decimal_text(start.value), "end": decimal_text(end.value)}
    most = _most_warming_K(run, typical)
    if end.value < start.value:
        summed = start.value + end.value
        # A warming is at most thrice the likely one: our own choice.
        is_a_warming = most is not None and 0 < end.value <= Decimal(str(round(3 * most, 6)))
        if is_a_warming and summed <= _OF_A_ROOM.most:
            meant = end_from_warming(start, end)
            return Question("end_temperature", _warming_typed(end), summed, meant)
        return Question("end_temperature", Message(SWAPPED, read), start.value, exchanged(start, end))
    if end.value == start.value:
        sentence = N_("Start and end are both %(end)s °C. Did you read the thermometer again after tipping?")
        return Question("end_temperature", Message(sentence, read))
    rise = float(end.value - start.value)
    hot = _unlike_a_room("end_temperature", end, typical)
    if hot and hot.suggested is not None and hot.suggested >= start.value:
        return hot
    # Room for a warm tube and coarse steps: our own choice.
    if most is not None and rise > 1.5 * most + 1.0:
        sentence = N_(
            "From %(start)s to %(end)s °C is more than the whole fall energy could warm the shot "
            "(about %(most)s K). Are both readings and the count right?"
        )
        at_most = f"{one_digit(most, ROUND_CEILING):f}"
        return Question("end_temperature", Message(sentence, {**read, "most": at_most}))
    return hot


def _warming_typed(end: Reading) -> Message:
    return Message(
        N_("%(end)s °C is colder than the start. Is it the warming? The end temperature is needed here."),
        {"end": decimal_text(end.value)},
    )


def unlikely_in_a_room(field: str, reading: Reading | None) -> Question | None:
    """Outside what a room has; from what reads as a room's in °F, that is asked."""
    if reading is None or reading.value in _OF_A_ROOM:
        return None
    celsius = (reading.value - 32) * 5 / 9
    if reading.unit == "°C" and celsius in _OF_A_ROOM:
        sentence = N_("%(read)s °C is hot for a room: did you mean %(read)s °F (%(meant)s °C)?")
        meant = Decimal(f"{celsius:.1f}")
        values = {"read": decimal_text(reading.value), "meant": str(meant)}
        return Question(field, Message(sentence, values), celsius, in_fahrenheit(field, reading))
    sentence = N_("%(read)s °C is unusual for a room. Is it right?")
    return Question(field, Message(sentence, {"read": short(float(reading.value), 4)}))


def _unlike_a_room(field: str, reading: Reading | None, typical: TypicalRun) -> Question | None:
    """The same for the shot, unless it is planned to start colder or hotter than any room."""
    planned = typical.start_temperature_C
    if planned is not None and planned not in _OF_A_ROOM:
        return None
    return unlikely_in_a_room(field, reading)


def _most_warming_K(run: RunAsRead, typical: TypicalRun) -> float | None:
    """The warming if all fall energy stayed in the shot; None where it cannot be known yet."""
    c = typical.heat_capacity_J_per_kg_K
    if run.tube_length is None or run.inversions is None or c is None or not c > 0:
        return None
    return specific_fall_energy(float(run.tube_length.value), float(run.inversions.value)) / c
