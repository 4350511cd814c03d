"""Readings that are possible but unlikely: asked about once, in words, and then kept.

Each question names the likely slip and what the reading would be without it (`question` says it as text). Odd
readings are data, so nothing here refuses or changes anything.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, Decimal

from app.physics.asking.ends import length_text, unlikely_ends
from app.physics.asking.expected_range import LARGEST_HEAT_SINK_J_PER_K, LEAST_SHARE
from app.physics.asking.question import (
    NO,
    YES,
    Question,
    RunAsRead,
    TypicalRun,
    as_meant,
    end_from_warming,
    exchanged,
    in_fahrenheit,
)
from app.physics.energy import mass_the_tube_holds, specific_fall_energy
from app.physics.limits import (
    FAR_FROM_USUAL,
    FAR_FROM_USUAL_START_K,
    INVERSIONS,
    LENGTH_M,
    ROOM_TEMPERATURE_C,
    SHOT_MASS_KG,
    START_TEMPERATURE_C,
    Limits,
    Range,
)
from app.physics.reading.readings import Reading, decimal_text
from app.physics.reading.units import FAHRENHEIT
from app.physics.rounding import one_decimal, one_digit, round_significant, short, shortest
from app.words import N_, Message

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


def questions_about(run: RunAsRead, typical: TypicalRun | None = None) -> tuple[Question, ...]:
    """Every question worth asking about what was read, at most one a field, in the order of the work."""
    known = TypicalRun() if typical is None else typical
    asked: Sequence[Question | None] = (
        unlikely_mass(run, known),
        unlikely_length(run, known),
        unlikely_ends(run),
        unlikely_count(run, known),
        unlikely_start(run, known),
        unlikely_end(run, known),
        unlikely_room(run, known),
    )
    return tuple(question for question in asked if question is not None)


def unlikely_mass(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """Less shot than a handful, more than a pupil turns or the tube holds, or far from the class's mass."""
    mass = run.shot_mass
    if mass is None:
        return None
    fits = _plausible(SHOT_MASS_KG, typical.shot_mass_kg)
    brimful = _brimful_kg(run, typical)
    value = float(mass.value)
    too_full = brimful is not None and value > brimful
    if fits(value) and not too_full:
        return None
    factors = () if fits(value) else (Decimal("0.001"), Decimal(1000), Decimal("0.1"), Decimal(10))
    for factor in factors:
        meant = mass.value * factor
        if fits(float(meant)) and (brimful is None or float(meant) <= brimful):
            sentence = N_("That would be %(read)s of shot: did you mean %(meant)s?")
            return _did_you_mean("shot_mass", sentence, mass, meant, _mass_text)
    read = _mass_text(mass.value)
    if too_full and brimful is not None:
        sentence = N_("%(read)s of shot is more than this tube holds (about %(full)s). Is the mass right?")
        return _asked(
            "shot_mass", sentence, read=read, full=_mass_text(Decimal(round_significant(brimful, 2)))
        )
    return _asked("shot_mass", N_("%(read)s of shot is unusual here. Is the mass right?"), read=read)


def unlikely_length(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """A tube unusually short or long, or far from the class's length."""
    length = run.tube_length
    if length is None:
        return None
    fits = _plausible(LENGTH_M, typical.tube_length_m)
    if fits(float(length.value)):
        return None
    for factor in (Decimal("0.01"), Decimal(100), Decimal("0.1"), Decimal(10), Decimal("2.54")):
        meant = length.value * factor
        if fits(float(meant)):
            sentence = N_("That would be a tube of %(read)s: did you mean %(meant)s?")
            return _did_you_mean("tube_length", sentence, length, meant, length_text)
    sentence = N_("A tube of %(read)s is unusual here. Is it right?")
    return _asked("tube_length", sentence, read=length_text(length.value))


def unlikely_count(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """Unusually few or many inversions, or half, double or far from the class's count."""
    count = run.inversions
    if count is None:
        return None
    value, usual = float(count.value), typical.inversions
    read = decimal_text(count.value)
    if usual is not None and usual > 0 and value in (2 * usual, usual / 2):
        sentence = (
            N_(
                "%(read)s is twice the planned %(usual)s inversions: count one each time the shot falls. "
                "Is the count right?"
            )
            if value > usual
            else N_(
                "%(read)s is half of the planned %(usual)s inversions: count every half turn that lets the "
                "shot fall. Is the count right?"
            )
        )
        return replace(
            _asked("inversions", sentence, read=read, usual=short(usual, 6)),
            suggested=Decimal(str(int(usual))),
            proposal=as_meant("inversions", count, str(int(usual)), NO),
        )
    if _plausible(INVERSIONS, usual)(value):
        return None
    return _asked("inversions", N_("A count of %(read)s is unusual here. Is it right?"), read=read)


def unlikely_start(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """A start temperature that no room has (°F perhaps), or far from the class's."""
    start = run.start_temperature
    question = _unlike_a_room("start_temperature", start, typical)
    if question or start is None or typical.start_temperature_C is None:
        return question
    if abs(float(start.value) - typical.start_temperature_C) <= FAR_FROM_USUAL_START_K:
        return None
    sentence = N_("A start at %(read)s °C is far from the rest of the class. Is it right?")
    return _asked("start_temperature", sentence, read=decimal_text(start.value))


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
        return _asked(field, sentence, **read)
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
        return _asked(field, sentence, **read, most=decimal_text(one_digit(most, ROUND_CEILING)))
    if most is not None and rise < _least_share(run, typical) * most:
        sentence = N_(
            "From %(start)s to %(end)s °C is very little for so many inversions. Are both readings and the "
            "count right?"
        )
        return _asked(field, sentence, **read)
    return hot


def unlikely_room(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """A room that no room is like, or the shot's start once more where the class's room is another."""
    room, start, usual = run.room_temperature, run.start_temperature, typical.room_temperature_C
    question = unlikely_in_a_room("room_temperature", room)
    if question or room is None or start is None or room.value != start.value:
        return question
    if usual is not None and abs(float(room.value) - usual) <= SAME_ROOM_K:
        return None
    return _asked("room_temperature", LIKE_THE_START, read=decimal_text(room.value))


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
    return _asked(field, sentence, read=short(float(reading.value), 4))


def _unlike_a_room(field: str, reading: Reading | None, typical: TypicalRun) -> Question | None:
    """The same for the shot, unless it is planned to start colder or hotter than any room."""
    planned = typical.start_temperature_C
    if planned is not None and planned not in _OF_THE_SHOT:
        return None
    return unlikely_in_a_room(field, reading, _OF_THE_SHOT)


def _asked(field: str, sentence: str, **values: str) -> Question:
    """A question with no likely slip behind it."""
    return Question(field, Message(sentence, values))


def _did_you_mean(
    field: str, sentence: str, read: Reading, meant: Decimal, as_text: Callable[[Decimal], str]
) -> Question:
    values = {"read": as_text(read.value), "meant": as_text(meant)}
    return Question(field, Message(sentence, values), meant, as_meant(field, read, values["meant"], YES))


def _plausible(limits: Limits, usual: float | None) -> Callable[[float], bool]:
    """Whether a value is near the usual one; where none is known, inside the general range."""
    if usual is None or not usual > 0:
        return lambda value: value in limits.asked_outside
    return lambda value: usual / FAR_FROM_USUAL <= value <= usual * FAR_FROM_USUAL


def _brimful_kg(run: RunAsRead, typical: TypicalRun) -> float | None:
    if run.tube_length is None or typical.bore_m is None or typical.density_kg_per_m3 is None:
        return None
    return mass_the_tube_holds(float(run.tube_length.value), typical.bore_m, typical.density_kg_per_m3)


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


def _mass_text(kilograms: Decimal) -> str:
    return f"{shortest(kilograms)} kg" if kilograms >= 1 else f"{shortest(kilograms * 1000)} g"
