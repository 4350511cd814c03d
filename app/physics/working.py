"""A bench's own calculation: does its result follow from its readings, and if not, which step slipped?

c = g·h·N / w is short, and so is the list of ways to go wrong in it. Each is worked out from the bench's
own readings and compared with what the bench got. A slip comes with a hint that gives nothing away, and
with an answer to be shown after it. What the bench typed is never changed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.reading.readings import Reading
from app.physics.reading.units import ZERO_CELSIUS_K
from app.physics.rounding import round_significant, short
from app.physics.run import Readings
from app.words import N_, Message

FOLLOWS, SLIPPED, UNEXPLAINED, NO_WARMING = "follows", "slipped", "unexplained", "no-warming"
"""The verdicts."""

TOLERANCE = 0.01
"""Three significant digits, roundings on the way included (our own choice)."""
_MOST_TOLERANCE = 0.05
"""A value of one digit is not taken for more than it says (our own choice)."""
SCHOOL_GRAVITIES = (9.81, 9.8, 10.0)
"""What textbooks and examiners let pupils use: 10 N/kg in Cambridge International 5054/22 (2022)."""


@dataclass(frozen=True)
class WorkingSlip:
    """One step that would explain the bench's value."""

    slip: str
    hint: Message
    answer: Message


@dataclass(frozen=True)
class Working:
    """The verdict, its sentence, and the slips that explain the value (usually one, sometimes rivals)."""

    verdict: str
    sentence: Message
    slips: tuple[WorkingSlip, ...] = ()


def check_working(
    typed: Reading, readings: Readings, gravity_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2
) -> Working:
    """Whether c follows from the readings to about 1 % (or to the digits typed), and if not, why not."""
    if not shows_warming(readings):
        sentence = N_(
            "These readings show no warming or no fall, so no specific heat capacity follows from them."
        )
        return Working(NO_WARMING, Message(sentence))
    value, allowed = float(typed.value), _allowed(typed)
    gravities = (gravity_m_per_s2, *SCHOOL_GRAVITIES)
    per_gravity = readings.fall_m * readings.inversions / readings.warming_K
    if any(is_near(value, gravity * per_gravity, allowed) for gravity in gravities):
        sentence = N_("Your specific heat capacity follows from your readings. Well worked out.")
        return Working(FOLLOWS, Message(sentence))
    candidates = {
        slip: [factor * per_gravity * gravity for factor in factors for gravity in gravities]
        for slip, factors in _factors(readings, gravity_m_per_s2).items()
    }
    candidates["upside-down-ratio"] = [
        scale / (per_gravity * gravity) for gravity in gravities for scale in (1.0, 1000.0)
    ]
    slips = [
        slip for slip, values in candidates.items() if any(is_near(value, one, allowed) for one in values)
    ]
    sentence = N_("Your specific heat capacity does not follow from your readings yet: one step went wrong.")
    if not slips:
        slips = ["no-single-step"]
        sentence = N_(
            "Your specific heat capacity does not follow from your readings, and no single slip explains it."
        )
    answer = _worked_line(readings, gravity_m_per_s2)
    return Working(
        UNEXPLAINED if slips == ["no-single-step"] else SLIPPED,
        Message(sentence),
        tuple(WorkingSlip(slip, HINTS[slip], answer) for slip in slips),
    )


def _factors(readings: Readings, gravity_m_per_s2: float) -> dict[str, tuple[float, ...]]:
    """By what each slip multiplies c. What it would hardly change cannot be told from a right value."""
    warming_K = readings.warming_K
    length_share = readings.tube_length_m / readings.fall_m
    mass_kg, n = readings.shot_mass_kg, readings.inversions
    start, end = readings.start_temperature_C, readings.end_temperature_C
    # Twice the tolerance: our own choice.
    shows = abs(warming_K - 1) > 0.02
    return {
        "one-fall": (1 / n,),
        "grams-for-kilograms": (1000.0,),
        "per-gram": (0.001,),
        "centimetres-for-metres": (100.0,),
        "start-temperature-as-warming": (warming_K / start,) if start else (),
        "end-temperature-as-warming": (warming_K / end,) if end else (),
        "kelvin-added": (warming_K / (warming_K + ZERO_CELSIUS_K),),
        # More than the tolerance: our own choice.
        "end-allowance-forgotten": (length_share,) if length_share > 1.02 else (),
        "gravity-left-out": (1 / gravity_m_per_s2,),
        "half-the-falls": (0.5,),
        "twice-the-falls": (2.0,),
        "mass-not-divided-out": (mass_kg, mass_kg * 1000),
        "mass-divided-twice": (1 / mass_kg, 1 / (mass_kg * 1000)),
        "not-divided-by-warming": (warming_K,) if shows else (),
        "multiplied-by-warming": (warming_K**2,) if shows else (),
        "wrong-sign": (-1.0,),
    }


_NOT_THE_WARMING = Message(N_("By how much did the shot warm? Look again at what you divided by."))
_WRONG_FALLS = Message(N_("The shot falls once in every half turn. How many falls did you use?"))
HINTS: Mapping[str, Message] = MappingProxyType(
    {
        "one-fall": Message(N_("How many times did the shot fall? Look at the height in your energy.")),
        "grams-for-kilograms": Message(
            N_("Your value is about 1000 times off. Look at the units of mass and length in every step.")
        ),
        "per-gram": Message(N_("Is your specific heat capacity for one gram or for one kilogram of shot?")),
        "centimetres-for-metres": Message(N_("Which unit of length goes with g in m/s²?")),
        "start-temperature-as-warming": _NOT_THE_WARMING,
        "end-temperature-as-warming": _NOT_THE_WARMING,
        "kelvin-added": Message(
            N_("A warming in °C and in kelvin is the same number. Did you add 273 to a difference?")
        ),
        "end-allowance-forgotten": Message(
            N_("Does the shot fall the whole length of the tube? Think of the caps and of the settled shot.")
        ),
        "gravity-left-out": Message(N_("What makes the shot fall, and is it in your energy?")),
        "half-the-falls": _WRONG_FALLS,
        "twice-the-falls": _WRONG_FALLS,
        "mass-not-divided-out": Message(
            N_("The mass is in the energy and in the heat. What happens to it when you solve for c?")
        ),
        "mass-divided-twice": Message(
            N_("The mass is in the energy and in the heat. How often did you divide by it?")
        ),
        "not-divided-by-warming": Message(N_("That looks like an energy. What is still to be divided by?")),
        "multiplied-by-warming": Message(
            N_("Does more warming mean a larger or a smaller specific heat capacity? Look at your last step.")
        ),
        "wrong-sign": Message(N_("Which temperature comes first when you work out the warming?")),
        "upside-down-ratio": Message(N_("What belongs on top: energy or warming? The units of c tell you.")),
        "no-single-step": Message(
            N_("Go step by step: the fall, then the energy of all falls for one kilogram, then the warming.")
        ),
    }
)


def _worked_line(readings: Readings, gravity_m_per_s2: float) -> Message:
    """The whole calculation with the bench's own numbers."""
    c = gravity_m_per_s2 * readings.fall_m * readings.inversions / readings.warming_K
    return Message(
        N_("c = g·h·N / w = %(g)s × %(h)s × %(N)s / %(w)s = %(c)s J/(kg·K)"),
        {
            "g": round_significant(gravity_m_per_s2, 3),
            "h": short(readings.fall_m, 4),
            "N": short(readings.inversions, 6),
            "w": short(readings.warming_K, 4),
            "c": round_significant(c, 3),
        },
    )


def _allowed(typed: Reading) -> float:
    """Relative tolerance: 1 %, or half of the last digit that is not a trailing zero, at most 5 %."""
    shortest = typed.typed.normalize()
    if not shortest:
        return TOLERANCE
    half_last = Decimal((0, (5,), int(shortest.as_tuple().exponent) - 1))
    return min(_MOST_TOLERANCE, max(TOLERANCE, float(half_last / abs(shortest))))


def shows_warming(readings: Readings) -> bool:
    """Whether a specific heat capacity follows from them at all."""
    return readings.warming_K > 0 and readings.fall_m > 0


def is_near(value: float, candidate: float, relative: float) -> bool:
    """Whether a value is a candidate's, within so large a part of it."""
    return abs(value - candidate) <= relative * abs(candidate)
