"""What a class's result becomes if a run or a bench is set aside, beside what it is: from the same draws.

It is shown where the teacher decides. It is no second result: choosing by looking at it makes the interval
too narrow.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from app.analysis.fit.class_fit import ClassFit, NotFitted, class_fit
from app.analysis.fit.class_value import class_value, warms
from app.analysis.fit.separated import separated
from app.analysis.fit.set_aside import without_bench, without_run
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ClassValue, Separated


class Outcome(NamedTuple):
    """The class value, and shot and sink told apart; None where there is no class value."""

    class_value: ClassValue | None
    separated: Separated | None


NOTHING = Outcome(None, None)


class IfDecided:
    """One class's fit, to be asked about its runs and benches."""

    def __init__(self, runs: Sequence[RunReadings], settings: ClassSettings) -> None:
        self._fit = class_fit(runs, settings)

    def as_it_stands(self) -> Outcome:
        return _outcome(self._fit)

    def run_set_aside(self, position: int) -> Outcome:
        """Without the run at this position; one that is not counted changes nothing."""
        return NOTHING if isinstance(self._fit, NotFitted) else _outcome(without_run(self._fit, position))

    def bench_set_aside(self, bench: str) -> Outcome:
        """Without all runs of this bench."""
        return NOTHING if isinstance(self._fit, NotFitted) else _outcome(without_bench(self._fit, bench))


def _outcome(fit: ClassFit | NotFitted) -> Outcome:
    with np.errstate(all="ignore"):
        if isinstance(fit, NotFitted) or not warms(fit):
            return NOTHING
        return Outcome(class_value(fit), separated(fit))
