"""How the analysis writes numbers into its sentences."""

from __future__ import annotations

from math import isfinite


def short(value: float, digits: int = 3) -> str:
    """`value` with `digits` significant digits and a decimal point, without an exponent where possible.

    Three digits are what most of the tool's figures are good for (our own choice).
    """
    if not isfinite(value):
        return "?"
    if value == 0.0:
        return "0"
    text = f"{value:.{digits}g}"
    if "e" in text and 1e-6 < abs(value) < 1e15:
        text = f"{float(text):f}".rstrip("0").rstrip(".")
    return text


def whole(value: float) -> str:
    """`value` rounded to a whole number."""
    return f"{value:.0f}" if isfinite(value) else "?"


def one_decimal(value: float) -> str:
    """`value` with one decimal."""
    return f"{value:.1f}" if isfinite(value) else "?"


def finite(value: float | None) -> float | None:
    """`value`, or None where it is no finite number."""
    return value if value is not None and isfinite(value) else None
