"""Readings that are possible but unlikely: asked about once, in words, and then kept.

Each question names the likely slip and what the reading would be without it (`question` says it as text). Odd
readings are data, so nothing here refuses or changes anything.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal

from app.physics.asking.ends import length_text, unlikely_ends
from app.physics.asking.question import NO, YES, Question, RunAsRead, TypicalRun, as_meant, asked
from app.physics.asking.temperatures import unlikely_end, unlikely_room, unlikely_start
from app.physics.energy import mass_the_tube_holds
from app.physics.limits import FAR_FROM_USUAL, INVERSIONS, LENGTH_M, SHOT_MASS_KG, Limits
from app.physics.reading.readings import Reading, decimal_text
from app.physics.rounding import round_significant, short, shortest
from app.words import N_, Message


def questions_about(run: RunAsRead, typical: TypicalRun | None = None) -> tuple[Question, ...]:
    """Every question worth asking about what was read, at most one a field, in the order of the work."""
    known = TypicalRun() if typical is None else typical
    questions: Sequence[Question | None] = (
        unlikely_mass(run, known),
        unlikely_length(run, known),
        unlikely_ends(run),
        unlikely_count(run, known),
        unlikely_start(run, known),
        unlikely_end(run, known),
        unlikely_room(run, known),
    )
    return tuple(question for question in questions if question is not None)


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
        return asked(
            "shot_mass", sentence, read=read, full=_mass_text(Decimal(round_significant(brimful, 2)))
        )
    return asked("shot_mass", N_("%(read)s of shot is unusual here. Is the mass right?"), read=read)


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
    return asked("tube_length", sentence, read=length_text(length.value))


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
            asked("inversions", sentence, read=read, usual=short(usual, 6)),
            suggested=Decimal(str(int(usual))),
            proposal=as_meant("inversions", count, str(int(usual)), NO),
        )
    if _plausible(INVERSIONS, usual)(value):
        return None
    return asked("inversions", N_("A count of %(read)s is unusual here. Is it right?"), read=read)


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


def _mass_text(kilograms: Decimal) -> str:
    return f"{shortest(kilograms)} kg" if kilograms >= 1 else f"{shortest(kilograms * 1000)} g"
