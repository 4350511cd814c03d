"""Value and uncertainty to text, by one rule.

Rule (JCGM 100:2008, 7.2.6): the standard uncertainty is given with two significant digits and the value
is rounded to the same decimal place. Rounding is to nearest, halves away from zero, on the shortest
decimal that names the float. The text has a decimal point and an ASCII minus; pages put in their own signs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal

_CONTEXT = Context(prec=700, rounding=ROUND_HALF_UP)
"""Digits enough for any float, whose decimal has at most 17 behind 308 zeros (IEEE 754 binary64)."""


@dataclass(frozen=True)
class Rounded:
    """A value and its standard uncertainty as text, rounded to the same decimal place."""

    value: str
    uncertainty: str

    def __str__(self) -> str:
        return f"{self.value} ± {self.uncertainty}"


def round_with_uncertainty(value: float, uncertainty: float, digits: int = 2) -> Rounded:
    """Both as text. Domain: finite, u > 0, digits ≥ 1; ValueError otherwise."""
    if not math.isfinite(value):
        raise ValueError("the value must be finite")
    place = _place(uncertainty, digits)
    return Rounded(_at_place(value, place), _at_place(uncertainty, place))


def round_significant(value: float, digits: int = 3) -> str:
    """The value alone with so many significant digits, three unless asked otherwise (our own choice).

    Domain: finite; ValueError otherwise.
    """
    if not math.isfinite(value):
        raise ValueError("the value must be finite")
    if value == 0:
        return "0"
    return _at_place(value, _place(abs(value), digits))


def round_interval(low: float, high: float, digits: int = 2) -> tuple[str, str]:
    """Both ends to the place that gives half the width two significant digits.

    Domain: finite, low < high; ValueError otherwise.
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        raise ValueError("both ends must be finite")
    place = _place(high / 2 - low / 2, digits)
    return _at_place(low, place), _at_place(high, place)


def one_digit(value: float, rounding: str) -> Decimal:
    """The value with one significant digit, rounded as `decimal` names it, whatever follows its sixth digit.

    For limits to judge a reading by, from which nothing closer can be worked back. Domain: finite;
    ValueError otherwise.
    """
    if not math.isfinite(value):
        raise ValueError("the value must be finite")
    number = Decimal(f"{value:.6g}")
    return number.quantize(Decimal((0, (1,), number.adjusted())), rounding=rounding)


def whole_percents(shares: Sequence[float]) -> tuple[int, ...]:
    """Shares of one whole (1 = all) as whole percents that add up to what the shares add up to.

    Each is rounded down, and the ones still missing go to the largest remainders (largest-remainder method,
    also Hamilton's; from memory), the earlier share first among equals. Each is within 1 of its share, also
    below 0 and above 100. Domain: finite; ValueError otherwise.
    """
    exact = [100.0 * share for share in shares]
    if not all(map(math.isfinite, exact)):
        raise ValueError("every share must be finite")
    whole = [math.floor(part) for part in exact]
    missing = round(math.fsum(exact)) - sum(whole)
    for i in sorted(range(len(exact)), key=lambda i: whole[i] - exact[i])[:missing]:
        whole[i] += 1
    return tuple(whole)


def _place(uncertainty: float, digits: int) -> int:
    """The power of ten of the last digit kept."""
    if not (math.isfinite(uncertainty) and uncertainty > 0):
        raise ValueError("the uncertainty must be finite and positive")
    if digits < 1:
        raise ValueError("at least one digit must be kept")
    exact = Decimal(repr(uncertainty))
    place = exact.adjusted() - digits + 1
    rounded = exact.quantize(Decimal((0, (1,), place)), context=_CONTEXT)
    return rounded.adjusted() - digits + 1  # 0.0996 becomes 0.10, not 0.100


def _at_place(value: float, place: int) -> str:
    exact = Decimal(repr(value))
    rounded = exact.quantize(Decimal((0, (1,), place)), context=_CONTEXT)
    return format(_CONTEXT.add(rounded, Decimal(0)), "f")  # adding zero turns -0 into 0
