"""The single fields of a plan: a typed text to a decimal, or the sentence for what cannot be used."""

from __future__ import annotations

from decimal import Decimal

from app.physics.readings import ReadingProblem, parse_decimal
from app.words import N_, Message


def _within(text: str, units: frozenset[str | None], low: str, high: str, problem: Message) -> Decimal:
    parsed = parse_decimal(text)
    unit = "".join(parsed.unit.split()) if parsed.unit else None
    if unit not in units or not Decimal(low) <= parsed.value <= Decimal(high):
        raise ReadingProblem(problem)
    return parsed.value


def read_latitude(text: str) -> Decimal:
    """A latitude in degrees. Raises ReadingProblem."""
    problem = Message(
        N_("A latitude lies between −90 and 90 degrees; south is negative. Write it as in 51.5.")
    )
    return _within(text, frozenset({None, "°", "deg", "°N", "N"}), "-90", "90", problem)


def read_height(text: str) -> Decimal:
    """A height above sea level in m. Raises ReadingProblem."""
    problem = Message(N_("A height above sea level lies between −500 and 9000 m. Check it."))
    return _within(text, frozenset({None, "m"}), "-500", "9000", problem)


def read_thermometer_step(text: str) -> Decimal:
    """A thermometer's smallest step in K. Raises ReadingProblem."""
    problem = Message(N_("A thermometer step lies between 0.001 and 5 °C, for example 0.1 or 0.5. Check it."))
    return _within(text, frozenset({None, "°C", "K", "C"}), "0.001", "5", problem)


def read_bench_count(text: str) -> int:
    """How many benches there are. Raises ReadingProblem."""
    parsed = parse_decimal(text)
    if parsed.unit or parsed.value != parsed.value.to_integral_value() or not 1 <= parsed.value <= 99:
        raise ReadingProblem(Message(N_("The number of benches is a whole number from 1 to 99.")))
    return int(parsed.value)
