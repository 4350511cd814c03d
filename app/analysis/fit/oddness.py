"""How odd each run and each bench is: its probability, in the fit, of being unlike the others.

For each draw the cases of a bench (which of its runs are like the others, and whether the bench is) have
probabilities in proportion to probability × likelihood; these are summed over the cases in question and
averaged over the draws. In a bench with one counted run nobody can say whether the run or the bench is unlike
the others, so that the two are one there: the run's.

What can be had for a bench that falls short in all of its runs (simulated, 12 × 3, masses 0.24 to 0.88 kg,
60 to 80 classes, ± 6 %): 20 % short among benches whose technique scatters by 2 % is called unlike the others
in 48 % of classes, among 5 % in 16 %; 30 % short in 98 % and 68 %. With technique, sinks and both heat
capacities known it would be 91 and 42 %, 100 and 98 % (300 classes, ± 3 %): the class has to learn from
itself how far its benches differ, and one bench far off may also mean that they differ widely. The result
hardly needs the name: the interval covers, because both readings are in it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.analysis.fit.class_fit import ClassFit
from app.analysis.results import ODD_FROM
from app.statistics.domain import Floats

LEAST_CREDIBLE = 1e-6  # our own choice


@dataclass(frozen=True)
class Oddness:
    """Probabilities from 0 to 1; None for a run or bench that is not in the fit."""

    runs: tuple[float | None, ...]
    """One for each run given, in that order."""
    benches: tuple[float | None, ...]
    """One for each bench, in order of first appearance."""

    def is_odd_run(self, position: int) -> bool:
        probability = self.runs[position]
        return probability is not None and probability > ODD_FROM

    def is_odd_bench(self, position: int) -> bool:
        probability = self.benches[position]
        return probability is not None and probability > ODD_FROM


def oddness(fit: ClassFit) -> Oddness:
    """The probabilities of all runs and benches of the class."""
    runs: list[float | None] = [None] * len(fit.columns.runs)
    benches: list[float | None] = [None] * len(fit.columns.benches)
    for stack, mean in zip(fit.stacks, fit.case_probabilities, strict=True):
        of_runs = mean.sum(axis=2) @ (1.0 - stack.alike)
        of_benches = mean[:, :, 1].sum(axis=1)
        if stack.alike.shape[1] == 1:
            # Column 0 of the one run: alike in the first case. Unlike run, or unlike bench.
            of_runs = of_runs + (mean[:, :, 1] @ stack.alike)
            of_benches = np.zeros_like(of_benches)
        for row, bench in enumerate(stack.bench.tolist()):
            here = [run not in fit.left_out for run in stack.run[row].tolist()]
            benches[bench] = float(of_benches[row]) if any(here) else None
            for run, probability, counts in zip(
                stack.run[row].tolist(), of_runs[row].tolist(), here, strict=True
            ):
                runs[run] = min(float(probability), 1.0) if counts else None
    return Oddness(tuple(runs), tuple(benches))


def credible_benches(fit: ClassFit) -> tuple[Floats, ...]:
    """For each stack and bench the probability that at least one run is like the others: that its typed mass
    and energy may be believed. Never quite 0 for a bench that counts, so that a class nobody believes still
    has a mean; 0 for a bench that is set aside."""
    found = []
    for stack, mean, counted in zip(fit.stacks, fit.case_probabilities, fit.counted, strict=True):
        someone = stack.alike.any(axis=1)
        probability = np.maximum(mean[:, someone, :].sum(axis=(1, 2)), LEAST_CREDIBLE)
        found.append(np.where(counted.any(axis=1), probability, 0.0))
    return tuple(found)
