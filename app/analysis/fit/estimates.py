"""The class value by the fit, and beside it by two methods that every textbook has."""

from __future__ import annotations

from math import sqrt

import numpy as np

from app.analysis.bench_table import BenchTable
from app.analysis.columns import Columns
from app.analysis.fit.class_fit import FEWEST_BENCHES, ClassFit
from app.analysis.results import ClassValue, Interval, PooledEstimate
from app.physics.coverage import COVERAGE_95
from app.statistics.quantiles import student_two_sided
from app.statistics.random_effects import paule_mandel

RUN_LEVEL_FIT = "run-level-fit"
PLAIN_MEAN = "plain-mean"
RANDOM_EFFECTS = "random-effects"


def estimates(
    fit: ClassFit, value: ClassValue, cols: Columns, table: BenchTable
) -> tuple[PooledEstimate, ...]:
    """The fit, the plain mean of the benches and their random-effects mean; none for a single bench, and no
    fit for two, whose value is not the fit's."""
    others = tuple(other for other in (plain_mean(cols), random_effects_mean(table)) if other is not None)
    if fit.benches < FEWEST_BENCHES:
        return others
    middle = value.apparent_heat_capacity_J_per_kg_K
    of_fit = PooledEstimate(
        RUN_LEVEL_FIT, middle, value.interval_95, fit.draws.median(fit.values.bench_sd) * middle
    )
    return (of_fit, *others)


def plain_mean(cols: Columns) -> PooledEstimate | None:
    """The mean of the benches' mean apparent specific heat capacities, every bench counted alike, and its
    interval by Student's t over the benches (JCGM 100:2008, 4.2 and G.3). None for fewer than two benches."""
    bench, apparent = cols.apparent
    runs = np.bincount(bench, minlength=len(cols.benches))
    sums = np.bincount(bench, apparent, len(runs))
    means = sums[runs > 0] / runs[runs > 0]
    k = len(means)
    if k < 2:
        return None
    mean, sd = float(means.mean()), float(means.std(ddof=1))
    if not np.isfinite(mean + sd):
        return None
    half = student_two_sided(k - 1) * sd / sqrt(k)
    interval = (mean - half, mean + half) if k >= FEWEST_BENCHES else None
    return PooledEstimate(PLAIN_MEAN, mean, interval, sd)


def random_effects_mean(table: BenchTable) -> PooledEstimate | None:
    """Benches pooled as warming per energy, where their errors add, and inverted: Paule and Mandel's estimate
    with Hartung and Knapp's interval (`app.statistics.random_effects`), as if all masses were the same. What
    the benches share is added. None where there is no positive mean."""
    k = len(table)
    if k < 2:
        return None
    pooled = paule_mandel(table.slope, table.variance)
    slope = pooled.mean
    if not slope > 0.0 or not np.isfinite(1.0 / slope):
        return None
    half = sqrt(pooled.half_width_95**2 + (COVERAGE_95 * table.u_shared * slope) ** 2)
    interval: Interval | None = None
    if k >= FEWEST_BENCHES and half < slope * (1.0 - 1e-9):
        interval = (1.0 / (slope + half), 1.0 / (slope - half))
    return PooledEstimate(RANDOM_EFFECTS, 1.0 / slope, interval, sqrt(pooled.tau2) / slope**2)
