"""Every number that becomes text, in sentences, tables and figures.

A result is rounded by one rule (JCGM 100:2008, 7.2.6): the standard uncertainty is given with two significant
digits and the value is rounded to the same decimal place; an interval's half-width counts as its uncertainty.
Rounding is to nearest, halves away from zero, on the shortest decimal that names the float. Readings and
limits in sentences are written short: so many significant digits at most, no zeros at the end.

The text has a decimal point and an ASCII minus; `app.figures.numbers` and the desk's filters put in the
reader's own signs.
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


def round_with_uncertainty(value: float, uncertainty: float) -> Rounded:
    """Both as text. Domain: finite, u > 0; ValueError otherwise."""
    if not math.isfinite(value):
        raise ValueError("the value must be finite")
    place = _place(uncertainty)
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


def round_interval(low: float, high: float) -> tuple[str, str]:
    """Both ends to the place that gives half the width two significant digits.

    Domain: finite, low < high; ValueError otherwise.
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        raise ValueError("both ends must be finite")
    place = _place(high / 2 - low / 2)
    return _at_place(low, place), _at_place(high, place)


def value_and_u(value: float, uncertainty: float | None) -> str:
    """The value and its standard uncertainty; the value with three significant digits where there is none."""
    return str(round_with_uncertainty(value, uncertainty)) if uncertainty else round_significant(value)


def value_with_u(value: float, uncertainty: float | None) -> str:
    """The value to the place of its standard uncertainty; three significant digits where there is none."""
    if not uncertainty:
        return round_significant(value)
    return round_with_uncertainty(value, uncertainty).value


def value_in_interval(value: float, interval: tuple[float, float] | None, otherwise: int = 3) -> str:
    """The value to the place its interval allows; `otherwise` significant digits where there is none.

    Three digits unless asked otherwise (our own choice).
    """
    if interval is None or not interval[0] < interval[1]:
        return round_significant(value, otherwise)
    return round_with_uncertainty(value, (interval[1] - interval[0]) / 2).value


def interval_ends(interval: tuple[float, float], otherwise: int = 3) -> tuple[str, str]:
    """Both ends of an interval, also of one without any width: then with `otherwise` significant digits.

    Three digits unless asked otherwise (our own choice).
    """
    if not interval[0] < interval[1]:
        return round_significant(interval[0], otherwise), round_significant(interval[1], otherwise)
    return round_interval(*interval)


def short(value: float, digits: int = 3) -> str:
    """The value with at most so many significant digits and no zeros at the end, without an exponent.

    Three digits are what most of the tool's figures are good for (our own choice). Only what is below 10⁻⁶ or
    above 10¹⁵ keeps its exponent (our own choice).
    """
    if not math.isfinite(value):
        return "?"
    if value == 0.0:
        return "0"
    text = f"{value:.{digits}g}"
    if "e" in text and 1e-6 < abs(value) < 1e15:
        text = shortest(Decimal(text))
    return text


def shortest(value: Decimal) -> str:
    """An exact decimal in full, without zeros at the end, a power of ten or a minus before 0."""
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def fixed(value: float, places: int) -> str:
    """The value with so many decimals."""
    return f"{value:.{places}f}" if math.isfinite(value) else "?"


def whole(value: float) -> str:
    """The value as a whole number."""
    return fixed(value, 0)


def one_decimal(value: float) -> str:
    """The value with one decimal."""
    return fixed(value, 1)


def percent(percents: float) -> str:
    """Percents of a hundred: whole from ten on, one decimal below (our own choice)."""
    return whole(percents) if abs(percents) >= 10 else one_decimal(percents)


def percent_error(percents: float) -> str:
    """How far a value lies from the accepted one, with its sign and one decimal."""
    return f"{percents:+.1f}"


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


def _place(uncertainty: float, digits: int = 2) -> int:
    """The power of ten of the last digit kept; of an uncertainty two digits are (JCGM 100:2008, 7.2.6)."""
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
