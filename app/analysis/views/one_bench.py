"""One bench's runs by themselves: mean, repeatability, and what more runs would bring."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from app.analysis.results import Interval
from app.words import N_, Message

MOST_MORE_RUNS = 6
"""Advice beyond this many more runs is no use in a lesson (our own choice)."""


@dataclass(frozen=True)
class OwnResult:
    """Mean of the bench's apparent specific heat capacities, its repeatability (ISO 5725-1, sd within
    the bench) and Student's 95 % interval of the mean; None where one run cannot tell."""

    runs: int
    mean_J_per_kg_K: float
    repeatability_sd_J_per_kg_K: float | None
    interval_95: Interval | None
    advice: Message


def own_result(apparent_J_per_kg_K: Sequence[float | None]) -> OwnResult | None:
    """The bench's own result; runs without one (no warming) are left out. None where none is left.

    interval = mean ± t(0.975, n − 1)·s/√n (JCGM 100:2008, 4.2 and G.3).
    """
    values = [value for value in apparent_J_per_kg_K if value is not None]
    if not values:
        return None
    n, mean = len(values), statistics.fmean(values)
    if n == 1:
        advice = Message(N_("One run cannot tell how well your readings repeat. A second one can."))
        return OwnResult(1, mean, None, None, advice)
    sd = statistics.stdev(values)
    half = _width_factor(n) * sd
    return OwnResult(n, mean, sd, (mean - half, mean + half), _advice(n))


def runs_to_halve_the_interval(n: int) -> int:
    """How many more runs make t(0.975, n − 1)/√n half of what it is, for the same sd. Domain: n ≥ 2."""
    if n < 2:
        raise ValueError("an interval needs two runs")
    wanted, more = _width_factor(n) / 2, 1
    while _width_factor(n + more) > wanted:
        more += 1
    return more


def _width_factor(n: int) -> float:
    # Brings scipy, which a phone's page with one run need not wait for.
    from app.statistics.quantiles import student_two_sided  # noqa: PLC0415

    return student_two_sided(n - 1) / math.sqrt(n)


def _advice(n: int) -> Message:
    more = runs_to_halve_the_interval(n)
    if more == 1:
        return Message(N_("One more run would about halve your interval, if it repeats as well."))
    if more <= MOST_MORE_RUNS:
        sentence = N_("%(more)s more runs would about halve your interval, if they repeat as well.")
        return Message(sentence, {"more": str(more)})
    return Message(N_("You have enough runs: more would hardly narrow your interval."))
