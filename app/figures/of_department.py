"""What the department's figures show and what they say, apart from the drawing library."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor

from app.analysis.figure import Chart
from app.analysis.results import Interval
from app.figures.numbers import ends, with_interval
from app.words import N_, Message

STEP = 25
"""The scale ends at multiples of this, in percent (our own choice)."""
WIDEST = 200
"""No scale goes further from the accepted value, in percent: what lies beyond is a wedge at its end (our own
choice)."""
NARROWEST = 25


@dataclass(frozen=True)
class Glance:
    """What one of them shows, in percent from the accepted value; `aside` are runs that were set aside."""

    counted: tuple[float, ...]
    aside: tuple[float, ...]
    value: float | None
    interval: Interval | None
    scale: tuple[int, int]


def scale_of(percents: Iterable[float]) -> tuple[int, int]:
    """A scale for all of these, with the accepted value on it."""
    shown = [min(max(one, -WIDEST), WIDEST) for one in percents]
    low = floor(min([-NARROWEST, *shown]) / STEP) * STEP
    high = ceil(max([NARROWEST, *shown]) / STEP) * STEP
    return low, high


TOO_FEW = Message(
    N_(
        "Fewer than three practicals have a value with an interval, so they are not pooled yet and there"
        " are no limits."
    )
)


@dataclass(frozen=True)
class OverYears:
    """What the figure shows. `accepted` and `years` have one entry for each class of the chart."""

    chart: Chart
    label: Message
    accepted: tuple[float, ...]
    years: tuple[str, ...]
    places: range
    """Which classes of the chart are drawn: its limits and pooled value are of all."""


def finding(shown: OverYears) -> tuple[Message, ...]:
    """What the chart says, in sentences."""
    chart = shown.chart
    if chart.pooled is None:
        return (TOO_FEW,)
    value = with_interval(chart.pooled.value, chart.pooled.interval)
    low, high = ends(chart.pooled.interval)
    counted = {"value": value, "low": low, "high": high, "count": str(chart.pooled.practicals)}
    sentences = [
        Message(
            N_("Together, %(count)s practicals give %(value)s (95 %% interval %(low)s to %(high)s)."), counted
        )
    ]
    outside = len(chart.outside)
    if outside == 1:
        sentences.append(Message(N_("One class lies outside its limits: look at what was different.")))
    elif outside:
        words = {"count": str(outside)}
        sentences.append(
            Message(N_("%(count)s classes lie outside their limits: look at what was different."), words)
        )
    else:
        sentences.append(Message(N_("Every class lies within its limits.")))
    if chart.shifts:
        sentences.append(
            Message(
                N_(
                    "Eight classes or more in a row lie on one side of the pooled value: something has"
                    " changed or is carried along, such as a thermometer, tubes, or how falls are counted."
                )
            )
        )
    return tuple(sentences)


def description(shown: OverYears) -> Message:
    """What is drawn, for whoever cannot see it."""
    words = {"count": str(len(shown.places))}
    return Message(
        N_(
            "Classes in the order of time as dots with their intervals, between the limits of a control"
            " chart, with the pooled value as a band and the accepted value as a line. Classes: %(count)s."
        ),
        words,
    )
