"""Readings that are possible but unlikely: asked about once, in words, and then kept.

Each question names the likely slip and what the reading would be without it (`app.physics.proposals` says it
as text). Odd readings are data, so nothing here refuses or changes anything.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from app.physics.energy import mass_the_tube_holds, specific_fall_energy
from app.physics.proposals import NO, YES, Proposal, as_meant, end_from_warming, exchanged, in_fahrenheit
from app.physics.readings import Reading, decimal_text
from app.words import N_, Message

SWAPPED = N_("The start (%(start)s °C) is above the end (%(end)s °C): are the two swapped?")
_FAR = 2.5
"""How many times more or less than the class's typical value is asked about (our own choice)."""


@dataclass(frozen=True)
class Question:
    """One sentence about one field; without the slip, what the reading would be (SI) and how to type it."""

    field: str
    sentence: Message
    suggested: Decimal | None = None
    proposal: Proposal | None = None


@dataclass(frozen=True)
class RunAsRead:
    """One run's readings so far; None where not read yet."""

    shot_mass: Reading | None = None
    tube_length: Reading | None = None
    end_allowance: Reading | None = None
    inversions: Reading | None = None
    start_temperature: Reading | None = None
    end_temperature: Reading | None = None
    room_temperature: Reading | None = None


@dataclass(frozen=True)
class TypicalRun:
    """What the class or the plan expects, in SI; None where nothing is known."""

    shot_mass_kg: float | None = None
    tube_length_m: float | None = None
    inversions: float | None = None
    start_temperature_C: float | None = None
    heat_capacity_J_per_kg_K: float | None = None
    density_kg_per_m3: float | None = None
    bore_m: float | None = None


def questions_about(run: RunAsRead, typical: TypicalRun | None = None) -> tuple[Question, ...]:
    """Every question worth asking about what was read, at most one a field, in the order of the work."""
    known = TypicalRun() if typical is None else typical
    asked: Sequence[Question | None] = (
        unlikely_mass(run, known),
        unlikely_length(run, known),
        unlikely_allowance(run),
        unlikely_count(run, known),
        unlikely_start(run, known),
        unlikely_end(run, known),
        _unlikely_temperature("room_temperature", run.room_temperature),
    )
    return tuple(question for question in asked if question is not None)


def unlikely_mass(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """Shot of less than 20 g, more than 2.5 kg, more than the tube holds, or far from the class's mass."""
    mass = run.shot_mass
    if mass is None:
        return None
    fits = _plausible(0.02, 2.5, typical.shot_mass_kg)
    brimful = _brimful_kg(run, typical)
    value = float(mass.value)
    too_full = brimful is not None and value > brimful
    if fits(value) and not too_full:
        return None
    factors = () if fits(value) else (Decimal("0.001"), Decimal(1000), Decimal("0.1"), Decimal(10))
    for factor in factors:
        meant = mass.value * factor
        if fits(float(meant)) and (brimful is None or float(meant) <= brimful):
            return Question(
                "shot_mass",
                Message(
                    N_("That would be %(read)s of shot: did you mean %(meant)s?"),
                    {"read": _mass_text(mass.value), "meant": _mass_text(meant)},
                ),
                meant,
                as_meant("shot_mass", mass, _mass_text(meant), YES),
            )
    if too_full:
        return Question(
            "shot_mass",
            Message(
                N_("%(read)s of shot is more than this tube holds (about %(full)s). Is the mass right?"),
                {"read": _mass_text(mass.value), "full": _mass_text(Decimal(f"{brimful:.2g}"))},
            ),
        )
    return Question(
        "shot_mass",
        Message(N_("%(read)s of shot is unusual here. Is the mass right?"), {"read": _mass_text(mass.value)}),
    )


def unlikely_length(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """A tube shorter than 30 cm, longer than 2.5 m, or far from the class's length."""
    length = run.tube_length
    if length is None:
        return None
    fits = _plausible(0.3, 2.5, typical.tube_length_m)
    if fits(float(length.value)):
        return None
    for factor in (Decimal("0.01"), Decimal(100), Decimal("0.1"), Decimal(10), Decimal("2.54")):
        meant = length.value * factor
        if fits(float(meant)):
            return Question(
                "tube_length",
                Message(
                    N_("That would be a tube of %(read)s: did you mean %(meant)s?"),
                    {"read": _length_text(length.value), "meant": _length_text(meant)},
                ),
                meant,
                as_meant("tube_length", length, _length_text(meant), YES),
            )
    return Question(
        "tube_length",
        Message(N_("A tube of %(read)s is unusual here. Is it right?"), {"read": _length_text(length.value)}),
    )


def unlikely_allowance(run: RunAsRead) -> Question | None:
    """An end allowance of half the tube or more."""
    allowance, length = run.end_allowance, run.tube_length
    if allowance is None or length is None or 2 * allowance.value < length.value:
        return None
    tenth = allowance.value / 10
    meant = tenth if 2 * tenth < length.value else None
    return Question(
        "end_allowance",
        Message(
            N_("An end allowance of %(read)s leaves little or no fall in a tube of %(tube)s. Is it right?"),
            {"read": _length_text(allowance.value), "tube": _length_text(length.value)},
        ),
        meant,
        None if meant is None else as_meant("end_allowance", allowance, _length_text(meant), NO),
    )


def unlikely_count(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """Fewer than 5 or more than 400 inversions, or half, double or far from the class's count."""
    count = run.inversions
    if count is None:
        return None
    value = float(count.value)
    usual = typical.inversions
    if usual is not None and usual > 0 and value in (2 * usual, usual / 2):
        return Question(
            "inversions",
            Message(
                N_(
                    "%(read)s is exactly %(share)s of the planned %(usual)s inversions: count one for each "
                    "half turn that lets the shot fall. Is the count right?"
                ),
                {
                    "read": decimal_text(count.value),
                    "share": "200 %" if value > usual else "50 %",
                    "usual": f"{usual:g}",
                },
            ),
            Decimal(str(int(usual))),
            as_meant("inversions", count, str(int(usual)), NO),
        )
    if _plausible(5, 400, usual)(value):
        return None
    return Question(
        "inversions",
        Message(
            N_("A count of %(read)s is unusual here. Is it right?"),
            {"read": decimal_text(count.value)},
        ),
    )


def unlikely_start(run: RunAsRead, typical: TypicalRun) -> Question | None:
    """A start temperature that no room has (°F perhaps), or more than 15 K from the class's."""
    start = run.start_temperature
    question = _unlikely_temperature("start_temperature", start)
    if question or start is None or typical.start_temperature_C is None:
        return question
    if abs(float(start.value) - typical.start_temperature_C) <= 15:
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
        return _unlikely_temperature("end_temperature", end)
    read = {"start": decimal_text(start.value), "end": decimal_text(end.value)}
    most = _most_warming_K(run, typical)
    if end.value < start.value:
        summed = start.value + end.value
        if most is not None and 0 < end.value <= Decimal(str(round(3 * most, 6))) and summed <= 45:
            meant = end_from_warming(start, end)
            return Question("end_temperature", _warming_typed(end), summed, meant)
        return Question("end_temperature", Message(SWAPPED, read), start.value, exchanged(start, end))
    if end.value == start.value:
        sentence = N_("Start and end are both %(end)s °C. Did you read the thermometer again after tipping?")
        return Question("end_temperature", Message(sentence, read))
    rise = float(end.value - start.value)
    hot = _unlikely_temperature("end_temperature", end)
    if hot and hot.suggested is not None and hot.suggested >= start.value:
        return hot
    if most is not None and rise > 1.5 * most + 1.0:
        sentence = N_(
            "From %(start)s to %(end)s °C is more than the whole fall energy could warm the shot "
            "(about %(most)s K). Are both readings and the count right?"
        )
        return Question("end_temperature", Message(sentence, {**read, "most": _rounded_up(most)}))
    return hot


def _warming_typed(end: Reading) -> Message:
    return Message(
        N_("%(end)s °C is colder than the start. Is it the warming? The end temperature is needed here."),
        {"end": decimal_text(end.value)},
    )


def _unlikely_temperature(field: str, reading: Reading | None) -> Question | None:
    if reading is None or 5 <= reading.value <= 45:
        return None
    celsius = (reading.value - 32) * 5 / 9
    if reading.unit == "°C" and 5 <= celsius <= 45:
        sentence = N_("%(read)s °C is hot for a room: did you mean %(read)s °F (%(meant)s °C)?")
        meant = Decimal(f"{celsius:.1f}")
        values = {"read": decimal_text(reading.value), "meant": str(meant)}
        return Question(field, Message(sentence, values), celsius, in_fahrenheit(field, reading))
    sentence = N_("%(read)s °C is unusual for a room. Is it right?")
    return Question(field, Message(sentence, {"read": f"{float(reading.value):.4g}"}))


def _plausible(low: float, high: float, usual: float | None) -> Callable[[float], bool]:
    """Whether a value is near the usual one; where none is known, inside the general range."""
    if usual is None or not usual > 0:
        return lambda value: low <= value <= high
    return lambda value: usual / _FAR <= value <= usual * _FAR


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


def _rounded_up(warming_K: float) -> str:
    """Up to one significant digit: a limit to judge by, from which no heat capacity can be worked back."""
    number = Decimal(f"{warming_K:.6g}")
    return f"{number.quantize(Decimal((0, (1,), number.adjusted())), ROUND_CEILING):f}"


def _mass_text(kilograms: Decimal) -> str:
    return _shortest(kilograms, "kg") if kilograms >= 1 else _shortest(kilograms * 1000, "g")


def _length_text(metres: Decimal) -> str:
    if metres >= Decimal("2.5"):
        return _shortest(metres, "m")
    return _shortest(metres * 100, "cm") if metres >= Decimal("0.01") else _shortest(metres * 1000, "mm")


def _shortest(number: Decimal, unit: str) -> str:
    text = decimal_text(number)
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {unit}"
