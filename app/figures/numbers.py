"""The class's figures as text for sentences and tables, rounded by the project's one rule."""

from __future__ import annotations

from app.analysis.results import Interval
from app.physics.rounding import round_interval, round_significant, round_with_uncertainty
from app.words import Message


def signed(text: str) -> str:
    """The text with a real minus sign."""
    return text.replace("-", "−")


def with_interval(value: float, interval: Interval | None) -> str:
    """A value to the place its interval allows; three significant digits where there is none."""
    if interval is None or not interval[0] < interval[1]:
        return signed(round_significant(value))
    return signed(round_with_uncertainty(value, (interval[1] - interval[0]) / 2).value)


def ends(interval: Interval) -> tuple[str, str]:
    """Both ends of an interval."""
    if not interval[0] < interval[1]:
        return signed(round_significant(interval[0])), signed(round_significant(interval[1]))
    low, high = round_interval(*interval)
    return signed(low), signed(high)


def with_u(value: float, u: float | None) -> str:
    """A value to the place its standard uncertainty allows."""
    if u is None or u <= 0:
        return signed(round_significant(value))
    return signed(round_with_uncertainty(value, u).value)


def percent(share: float) -> str:
    """A percentage: whole from ten on, one place below."""
    return signed(f"{share:.0f}" if abs(share) >= 10 else f"{share:.1f}")


def plain(text: str) -> Message:
    """A bare number as a message, so that it gets the reader's decimal mark and a real minus sign."""
    return Message("%(number)s", {"number": text.replace("-", "−")})
