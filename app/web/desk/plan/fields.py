"""The single fields of a plan: a typed text to a decimal, or the sentence for what cannot be used."""

from __future__ import annotations

from decimal import Decimal

from app.physics.limits import (
    HEIGHT_M,
    LATITUDE_DEG,
    MOST_BENCHES,
    MOST_RUNS_OF_A_BENCH,
    THERMOMETER_STEP_K,
    Range,
)
from app.physics.reading.readings import ReadingProblem, parse_count, parse_decimal
from app.words import N_, Message


def _within(text: str, units: frozenset[str | None], possible: Range, problem: Message) -> Decimal:
    parsed = parse_decimal(text)
    unit = "".join(parsed.unit.split()) if parsed.unit else None
    if unit not in units or parsed.value not in possible:
        raise ReadingProblem(problem)
    return parsed.value


def read_latitude(text: str) -> Decimal:
    """A latitude in degrees. Raises ReadingProblem."""
    problem = Message(
        N_("A latitude lies between −90 and 90 degrees; south is negative. Write it as in 51.5.")
    )
    return _within(text, frozenset({None, "°", "deg", "°N", "N"}), LATITUDE_DEG, problem)


def read_height(text: str) -> Decimal:
    """A height above sea level in m. Raises ReadingProblem."""
    problem = Message(N_("A height above sea level lies between −500 and 9000 m. Check it."))
    return _within(text, frozenset({None, "m"}), HEIGHT_M, problem)


def read_thermometer_step(text: str) -> Decimal:
    """A thermometer's smallest step in K. Raises ReadingProblem."""
    problem = Message(N_("A thermometer step lies between 0.001 and 5 °C, for example 0.1 or 0.5. Check it."))
    return _within(text, frozenset({None, "°C", "K", "C"}), THERMOMETER_STEP_K, problem)


def read_bench_count(text: str) -> int:
    """How many benches there are. Raises ReadingProblem."""
    parsed = parse_decimal(text)
    whole = not parsed.unit and parsed.value == parsed.value.to_integral_value()
    if not (whole and 1 <= parsed.value <= MOST_BENCHES):
        raise ReadingProblem(Message(N_("The number of benches is a whole number from 1 to 99.")))
    return int(parsed.value)


def read_run_count(text: str) -> int:
    """How many runs a bench does. Raises ReadingProblem."""
    value = parse_count(text).value
    if value > MOST_RUNS_OF_A_BENCH:
        raise ReadingProblem(Message(N_("A bench does from 1 to 20 runs in a lesson.")))
    return int(value)
