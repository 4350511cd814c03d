"""What is weighed, measured and counted, where it is possible but unlikely: mass, tube, allowance, count."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from app.physics.asking.corrections import NO, YES, as_meant
from app.physics.asking.run_as_read import Question, RunAsRead, TypicalRun
from app.physics.energy import mass_the_tube_holds
from app.physics.limits import FAR_FROM_USUAL, INVERSIONS, LENGTH_M, SHOT_MASS_KG, Limits
from app.physics.reading.readings import Reading, decimal_text
from app.physics.rounding import short
from app.words import N_, Message

TWICE = N_(
    "%(read)s is twice the planned %(usual)s inversions: count one each time the shot falls. "
    "Is the count right?"
)
HALF = N_(
    "%(read)s is half of the planned %(usual)s inversions: count every half turn that lets the shot fall. "
    "Is the count right?"
)


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
            return _did_you_mean("tube_length", sentence, length, meant, _length_text)
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
    """Unusually few or many inversions, or half, double or far from the class's count."""
    count = run.inversions
    if count is None:
        return None
    value = float(count.value)
    usual = typical.inversions
    if usual is not None and usual > 0 and value in (2 * usual, usual / 2):
        return Question(
            "inversions",
            Message(
                TWICE if value > usual else HALF,
                {"read": decimal_text(count.value), "usual": short(usual, 6)},
            ),
            Decimal(str(int(usual))),
            as_meant("inversions", count, str(int(usual)), NO),
        )
    if _plausible(INVERSIONS, usual)(value):
        return None
    return Question(
        "inversions",
        Message(
            N_("A count of %(read)s is unusual here. Is it right?"),
            {"read": decimal_text(count.value)},
        ),
    )


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
    return _shortest(kilograms, "kg") if kilograms >= 1 else _shortest(kilograms * 1000, "g")


def _length_text(metres: Decimal) -> str:
    """In the unit that a tube of that length is spoken of in (our own choice)."""
    if metres >= Decimal("2.5"):
        return _shortest(metres, "m")
    return _shortest(metres * 100, "cm") if metres >= Decimal("0.01") else _shortest(metres * 1000, "mm")


def _shortest(number: Decimal, unit: str) -> str:
    text = decimal_text(number)
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {unit}"
