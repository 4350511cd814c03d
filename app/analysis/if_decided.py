"""What a class's result becomes if a run or a bench is set aside, beside what it is: from the same draws.

It is shown where the teacher decides. It is no second result: choosing by looking at it makes the interval
too narrow.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from app.analysis.fit.class_fit import ClassFit, NotFitted, class_fit
from app.analysis.fit.class_value import NO_WARMING, class_value, warms
from app.analysis.fit.separated import separated
from app.analysis.fit.set_aside import without_bench, without_run
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ClassValue, Separated
from app.words import Message


class Outcome(NamedTuple):
    """The class value, and shot and sink told apart, or the reasons why not."""

    class_value: ClassValue | None
    absent_because: Message | None
    separated: Separated


class IfDecided:
    """One class's fit, to be asked about its runs and benches."""

    def __init__(self, runs: Sequence[RunReadings], settings: ClassSettings) -> None:
        self._fit = class_fit(runs, settings)

    def as_it_stands(self) -> Outcome:
        return outcome_of(self._fit)

    def run_set_aside(self, position: int) -> Outcome:
        """Without the run at this position; one that is not counted changes nothing."""
        fit = self._fit
        return outcome_of(fit if isinstance(fit, NotFitted) else without_run(fit, position))

    def bench_set_aside(self, bench: str) -> Outcome:
        """Without all runs of this bench."""
        fit = self._fit
        return outcome_of(fit if isinstance(fit, NotFitted) else without_bench(fit, bench))


def outcome_of(fit: ClassFit | NotFitted) -> Outcome:
    """What a class's fit says, or why it says nothing."""
    with np.errstate(all="ignore"):
        if isinstance(fit, NotFitted):
            return Outcome(None, fit.reason, Separated(False, fit.reason))
        if not warms(fit):
            return Outcome(None, NO_WARMING, Separated(False, NO_WARMING))
        return Outcome(class_value(fit), None, separated(fit))
