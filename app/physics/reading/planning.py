"""Typed text to exact numbers, for what a plan, a kit or the question about another fall asks.

As for readings: what is impossible raises `ReadingProblem`, whose message says what to type instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from app.physics import limits
from app.physics.reading.readings import ReadingProblem, parse_count, parse_decimal, parse_length
from app.physics.reading.units import LENGTH_UNITS, MASS_UNITS, Unit, unit_named
from app.words import N_, Message

_KM = Unit("km", Decimal(1000))  # SI Brochure, 9th ed. (2019)
_FT = Unit("ft", Decimal("0.3048"))  # exact: agreement of 1959; ISO 80000-3
FALL_UNITS: Mapping[str, Unit] = {**LENGTH_UNITS, "km": _KM, "ft": _FT}
"""Heights of falls are typed in more units than tubes."""


def parse_latitude(text: str) -> Decimal:
    """A latitude in degrees. Raises ReadingProblem."""
    problem = N_("A latitude lies between −90 and 90 degrees; south is negative. Write it as in 51.5.")
    return _within(text, {"°", "deg", "°N", "N"}, limits.LATITUDE_DEG, problem)


def parse_height(text: str) -> Decimal:
    """A height above sea level in m. Raises ReadingProblem."""
    problem = N_("A height above sea level lies between −500 and 9000 m. Check it.")
    return _within(text, {"m"}, limits.HEIGHT_M, problem)


def parse_thermometer_step(text: str) -> Decimal:
    """A thermometer's smallest step in K. Raises ReadingProblem."""
    problem = N_("A thermometer step lies between 0.001 and 5 °C, for example 0.1 or 0.5. Check it.")
    return _within(text, {"°C", "K", "C"}, limits.THERMOMETER_STEP_K, problem)


def parse_bench_count(text: str) -> int:
    """How many benches there are. Raises ReadingProblem."""
    problem = N_("The number of benches is a whole number from 1 to 99.")
    count = _within(text, set(), limits.BENCHES, problem)
    if count != count.to_integral_value():
        raise ReadingProblem(Message(problem))
    return int(count)


def parse_run_count(text: str) -> int:
    """How many runs a bench does. Raises ReadingProblem."""
    count = int(parse_count(text).value)
    if count > limits.MOST_RUNS_OF_A_BENCH:
        raise ReadingProblem(Message(N_("A bench does from 1 to 20 runs in a lesson.")))
    return count


def parse_minutes(text: str) -> Decimal:
    """Minutes of a lesson. Raises ReadingProblem."""
    return _within(text, {"min"}, limits.LESSON_MIN, N_("Give minutes as a number from 0 to 600."))


def parse_tips_per_minute(text: str) -> Decimal:
    """How often a tube is tipped in a minute. Raises ReadingProblem."""
    problem = N_("Give the tips per minute as a number up to 200; 30 is a usual pace.")
    return _within(text, {"/min"}, limits.TIPS_PER_MINUTE, problem)


def parse_heat_sink(text: str) -> Decimal:
    """The heat capacity of tube, caps and thermometer in J/K. Raises ReadingProblem."""
    problem = N_("Give the heat sink in J/K, from 0 to 2000; 20 is a usual guess for a plastic tube.")
    return _within(text, {"J/K"}, limits.HEAT_SINK_J_PER_K, problem)


def parse_shot(text: str) -> Decimal:
    """All the shot there is, in kg: may be more than one bench could tip. Raises ReadingProblem."""
    problem = N_("Give all the shot there is in kg or g, for example 9 kg.")
    return _converted(text, MASS_UNITS, "kg", limits.MOST_SHOT_IN_STOCK_KG, problem)


def parse_bore(text: str) -> Decimal:
    """The inner diameter of a tube in m; without a unit in mm. Raises ReadingProblem."""
    bore = parse_length(text, "mm").value
    if bore not in limits.BORE_M:
        raise ReadingProblem(
            Message(N_("A bore lies between 5 mm and 50 cm. Check the number and its unit."))
        )
    return bore


def parse_balance_step(text: str) -> Decimal:
    """The smallest step of a balance in kg; without a unit in g. Raises ReadingProblem."""
    problem = N_("A balance's step lies between 0.001 g and 100 g, for example 0.1 or 1. Check it.")
    parsed = parse_decimal(text)
    unit = unit_named(parsed.unit or "g", MASS_UNITS)
    if unit is None or unit.to_si(parsed.value) not in limits.BALANCE_STEP_KG:
        raise ReadingProblem(Message(problem))
    return unit.to_si(parsed.value)


def parse_fall_height(text: str) -> Decimal:
    """A height of fall in m, up to 10 000 m. Raises ReadingProblem."""
    problem = N_("A height of fall is more than 0 and at most 10 000 m; use m, cm, km or ft.")
    return _converted(text, FALL_UNITS, "m", limits.HIGHEST_FALL_M, problem)


def _within(text: str, units: set[str], possible: limits.Range, problem: str) -> Decimal:
    """A number in a range, without a unit or with one of these."""
    parsed = parse_decimal(text)
    known = not parsed.unit or "".join(parsed.unit.split()) in units
    if not known or parsed.value not in possible:
        raise ReadingProblem(Message(problem))
    return parsed.value


def _converted(text: str, units: Mapping[str, Unit], bare: str, most: int, problem: str) -> Decimal:
    """A number above 0 and up to `most`, in one of these units; without one it is in `bare`."""
    parsed = parse_decimal(text)
    unit = unit_named(parsed.unit or bare, units)
    if unit is None or not 0 < unit.to_si(parsed.value) <= most:
        raise ReadingProblem(Message(problem))
    return unit.to_si(parsed.value)
