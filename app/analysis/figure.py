"""Values with their intervals: of one class, and of many practicals together."""

from __future__ import annotations

from dataclasses import dataclass

from app.analysis.results import Interval

FEWEST = 3
"""From so many practicals on they are pooled: two say nothing about how far practicals differ (our own
choice)."""


@dataclass(frozen=True)
class Figure:
    """A value with its 95 % interval, where it has one."""

    value: float
    interval: Interval | None = None


@dataclass(frozen=True)
class Pooled:
    """The random-effects mean of practicals, its 95 % interval, and how far practicals differ beyond their
    own uncertainties (a standard deviation)."""

    value: float
    interval: Interval
    between_sd: float
    practicals: int


@dataclass(frozen=True)
class Chart:
    """The pooled value of all, and for each class, in the order of time, how far it may lie from it.

    `limits` are None, and nothing is outside, where there are too few classes with an interval; a class
    without one has none either. `shifts`: first and last place of classes in a row on one side.
    """

    classes: tuple[Figure, ...]
    pooled: Pooled | None
    limits: tuple[Interval | None, ...]
    shifts: tuple[tuple[int, int], ...]

    def is_outside(self, place: int) -> bool:
        """Whether a class lies beyond its limits."""
        limits = self.limits[place]
        return limits is not None and not limits[0] <= self.classes[place].value <= limits[1]

    @property
    def outside(self) -> tuple[int, ...]:
        """The places of those that do."""
        return tuple(place for place in range(len(self.classes)) if self.is_outside(place))
