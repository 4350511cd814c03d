"""The quantities of a class that are read from a fit, draw by draw, with what all benches share included.

Where a quantity is a mean over the benches, a bench counts with the probability that at least one of its runs
is like the others: a bench whose every run is unlike them (a mass typed in the wrong unit) would move the
mean by its mass, which nobody believes.
"""

from __future__ import annotations

from math import hypot

import numpy as np

from app.analysis.columns import columns
from app.analysis.fit.class_fit import FEWEST_BENCHES, USUAL_BENCH_SD, USUAL_RUN_SD, ClassFit, NotFitted
from app.analysis.fit.oddness import credible_benches
from app.analysis.fit.shared import shared_factor
from app.analysis.fit.stacked import in_one_row
from app.analysis.readings import RunReadings
from app.statistics.domain import Floats


def specific_heat(fit: ClassFit) -> Floats:
    """c in J/(kg·K), one for each draw."""
    return np.asarray(fit.values.heat_capacity * shared_factor(fit))


def heat_sink(fit: ClassFit) -> Floats:
    """C in J/K, one for each draw."""
    return np.asarray(fit.values.heat_sink * shared_factor(fit))


def heat_leak(fit: ClassFit) -> Floats:
    """λ in J/K per inversion, one for each draw."""
    return np.asarray(fit.values.leak * shared_factor(fit))


def class_apparent(fit: ClassFit) -> Floats:
    """The class's apparent heat capacity with its own masses, k/Σ 1/(c + C/m), J/(kg·K), one for each draw.

    It is that of benches which lose nothing to the room, whatever the class lost.
    """
    return np.asarray(own_class_apparent(fit) * shared_factor(fit))


def own_class_apparent(fit: ClassFit) -> Floats:
    """The same without what all benches share."""
    values, per_mass, weight = fit.values, bench_per_mass(fit), np.concatenate(credible_benches(fit))
    apparent = values.heat_capacity[:, None] + values.heat_sink[:, None] * per_mass
    return np.asarray(weight.sum() / (weight / apparent).sum(axis=1))


def bench_per_mass(fit: ClassFit) -> Floats:
    """1/m of each bench in 1/kg, stack by stack."""
    return np.concatenate([stack.bench_per_mass for stack in fit.stacks])


def expected_warming(fit: ClassFit) -> Floats:
    """What each run given, set aside or not, should have warmed by in K if it is like the others; not a
    number for a run without fall energy."""
    few, cols = fit.thinned, fit.columns
    expected = few.model.expected(in_one_row(cols, fit.settings), few.values)[1]
    return np.where(cols.workable, few.draws.mean(expected)[0], np.nan)


def expected_of(fit: ClassFit, run: RunReadings) -> float:
    """The same of a run with these readings, which need not be one of the class; it must have an energy."""
    few = fit.thinned
    row = in_one_row(columns([fit.in_its_room(run)], fit.settings), fit.settings)
    return float(few.draws.mean(few.model.expected(row, few.values)[1])[0, 0])


def technique_of_a_run(fit: ClassFit | NotFitted) -> float:
    """How far one run of one bench may be from the full falls, relative: √(τ² + σ²), as the class shows it;
    what is usual where fewer than three benches show it."""
    if isinstance(fit, NotFitted) or fit.benches < FEWEST_BENCHES:
        return hypot(USUAL_BENCH_SD, USUAL_RUN_SD)
    return fit.draws.median(np.hypot(fit.values.bench_sd, fit.values.run_sd))
