"""The class's figures with a real minus sign, for sentences and tables, rounded by `app.physics.rounding`."""

from __future__ import annotations

from app.analysis.results import Interval
from app.physics import rounding
from app.words import N_, Message

_FROM_TO = N_("%(low)s to %(high)s")


def signed(text: str) -> str:
    """The text with a real minus sign."""
    return text.replace("-", "−")


def with_plus(text: str, value: float) -> str:
    """A figure with its sign also where it is above zero."""
    return f"+{text}" if value > 0 else text


def with_interval(value: float, interval: Interval | None) -> str:
    """A value to the place its interval allows."""
    return signed(rounding.value_in_interval(value, interval))


def ends(interval: Interval) -> tuple[str, str]:
    """Both ends of an interval."""
    low, high = rounding.interval_ends(interval)
    return signed(low), signed(high)


def from_to(interval: Interval) -> Message:
    """An interval in words."""
    return low_to_high(*ends(interval))


def low_to_high(low: str, high: str) -> Message:
    """Two figures as a range."""
    return Message(_FROM_TO, {"low": low, "high": high})


def with_u(value: float, u: float | None) -> str:
    """A value to the place its standard uncertainty allows."""
    return signed(rounding.value_with_u(value, u))


def percent(share: float) -> str:
    """A percentage: whole from ten on, one place below."""
    return signed(rounding.percent(share))


def plain(text: str) -> Message:
    """A bare number as a message, so that it gets the reader's decimal mark and a real minus sign."""
    return Message("%(number)s", {"number": signed(text)})
