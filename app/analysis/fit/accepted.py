"""A result held against the accepted value, which for an alloy is a range."""

from __future__ import annotations

from math import sqrt

from app.analysis.readings import ClassSettings
from app.analysis.results import Interval
from app.physics.materials import MATERIALS


def accepted_range(settings: ClassSettings) -> Interval:
    """The range of the metal's table where the accepted value is the table's, else value ± √3·u (a rectangle
    of that standard uncertainty; JCGM 100:2008, 4.3.7)."""
    accepted = settings.accepted_J_per_kg_K
    metal = MATERIALS.get(settings.material.lower())
    if metal is not None and settings.u_accepted_J_per_kg_K > 0.0:
        low, high = metal.accepted_range_J_per_kg_K
        if low <= accepted <= high:
            return low, high
    half = sqrt(3.0) * settings.u_accepted_J_per_kg_K
    return accepted - half, accepted + half


def alloy_range(settings: ClassSettings) -> Interval | None:
    """The accepted range where it is one: an alloy's, not what two tables of an element differ by."""
    metal = MATERIALS.get(settings.material.lower())
    from_table = settings.u_accepted_J_per_kg_K > 0.0
    return accepted_range(settings) if metal is not None and metal.is_alloy and from_table else None


def percent_beyond(value: float, low: float, high: float) -> float:
    """By how many percent a value lies above the top (positive) or below the bottom of a range; 0 inside."""
    if value > high:
        return 100.0 * (value / high - 1.0)
    return 100.0 * (value / low - 1.0) if value < low else 0.0


def accepted_inside(interval: Interval, settings: ClassSettings) -> bool:
    """Whether the interval reaches the accepted value or, for a range, any part of it."""
    low, high = accepted_range(settings)
    return interval[0] <= high and low <= interval[1]


def percent_error(value: float, settings: ClassSettings) -> float:
    """100·(value/accepted − 1)."""
    return 100.0 * (value / settings.accepted_J_per_kg_K - 1.0)
