"""Scatter within and between the benches of a class, on the apparent specific heat capacities of its runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan, sqrt

import numpy as np

from app.analysis.bench_table import BenchTable
from app.analysis.columns import Columns
from app.analysis.results import Spread
from app.statistics.consistency import cochran_critical, mandel_h_critical, mandel_k_critical
from app.words import N_, Message

SIGNIFICANCE = 0.01
"""The level at which ISO 5725-2:2019 calls a bench an outlier, not only a straggler (from memory)."""


@dataclass(frozen=True, slots=True)
class BenchScatter:
    """Per bench, by its position among all benches: sd of its runs, Mandel's h and k (NaN: unknown)."""

    sd: Sequence[float]
    h: Sequence[float]
    k: Sequence[float]
    spread: Spread


def bench_scatter(cols: Columns, table: BenchTable | None, masses_fitted: bool) -> BenchScatter:
    """ANOVA for unequal numbers of runs (ISO 5725-2), Mandel's h and k, Cochran's C at 1 %.

    s_r² = SSW/(N − k); s_L² = max(0, (MSB − s_r²)/n₀), n₀ = (N − Σn²/N)/(k − 1); s_R² = s_r² + s_L².
    k and C are for benches with the same number of runs; with unequal numbers the commonest number
    stands in. Only counted runs with a warming above the thermometer's zero have a c*.
    """
    benches = len(cols.benches)
    nothing = [nan] * benches
    bench, energy, warming = cols.taken.bench, cols.taken.energy, cols.taken.warming
    warm = warming > 1e-6
    if not warm.all():
        bench, energy, warming = bench[warm], energy[warm], warming[warm]
    total = len(energy)
    if table is None or not total:
        return BenchScatter(
            nothing, nothing, nothing, _unknown(N_("No counted run has a specific heat capacity."))
        )
    value = energy / warming
    # About the first value: large numbers close together lose no digits.
    origin = float(value[0])
    value = value - origin
    by_run = np.bincount(bench, minlength=benches)
    means_by_bench = np.bincount(bench, value, benches) / np.maximum(by_run, 1)
    residual = value - means_by_bench[bench]
    # From here on benches are few: plain numbers are quicker than arrays.
    counts = by_run.tolist()
    within = np.bincount(bench, residual * residual, benches).tolist()
    ss_within = sum(within)
    sd = [sqrt(ss / (n - 1)) if n > 1 else nan for ss, n in zip(within, counts, strict=True)]
    k = benches - counts.count(0)
    if k < 2:
        own = sqrt(ss_within / (total - 1)) if total > 1 else None
        one = Message(N_("One bench shows its own repeatability at most, not how benches differ."))
        return BenchScatter(sd, nothing, nothing, Spread(own, None, None, reason=one))
    pairs = list(zip(means_by_bench.tolist(), counts, strict=True))
    grand = sum([mean * n for mean, n in pairs]) / total
    ms_between = sum([n * (mean - grand) ** 2 for mean, n in pairs]) / (k - 1)
    centre = sum([mean for mean, n in pairs if n]) / k
    sd_means = sqrt(sum([(mean - centre) ** 2 for mean, n in pairs if n]) / (k - 1))
    h = nothing
    if sd_means > 1e-9 * abs(origin):
        h = [(mean - centre) / sd_means if n else nan for mean, n in pairs]
    h_critical = mandel_h_critical(k, SIGNIFICANCE) if k > 2 else None
    if total == k:
        reason = Message(
            N_(
                "Every bench made one run, so the scatter within a bench cannot be told from that between "
                "benches: let each bench make at least two."
            )
        )
        return BenchScatter(sd, h, nothing, Spread(None, None, None, h_critical, reason=reason))
    ms_within = ss_within / (total - k)
    n0 = (total - sum([n * n for n in counts]) / total) / (k - 1)
    s_l2 = max(0.0, (ms_between - ms_within) / n0)
    k_statistic = nothing
    k_critical = cochran = c_critical = None
    repeated = [n for n in counts if n > 1]
    several = len(repeated)
    if several >= 2:
        variances = [sd_of_one * sd_of_one for sd_of_one, n in zip(sd, counts, strict=True) if n > 1]
        typical_sd = sqrt(sum(variances) / several)
        if typical_sd > 1e-9 * abs(origin):
            k_statistic = [sd_of_one / typical_sd for sd_of_one in sd]
            cochran = max(variances) / sum(variances)
        # Of numbers of runs that are equally common, the smallest.
        n = max(sorted(set(repeated)), key=repeated.count)
        k_critical = mandel_k_critical(several, n, SIGNIFICANCE)
        c_critical = cochran_critical(several, n, SIGNIFICANCE)
    reason_masses = (
        Message(
            N_(
                "The benches used different masses; that alone makes their apparent specific heat capacities "
                "differ, and it is part of the scatter between benches shown here."
            )
        )
        if masses_fitted
        else None
    )
    spread = Spread(
        repeatability_sd=sqrt(ms_within),
        between_bench_sd=sqrt(s_l2),
        reproducibility_sd=sqrt(ms_within + s_l2),
        mandel_h_critical=h_critical,
        mandel_k_critical=k_critical,
        cochran_C=cochran,
        cochran_C_critical=c_critical,
        reason=reason_masses,
    )
    return BenchScatter(sd, h, k_statistic, spread)


def _unknown(template: str) -> Spread:
    return Spread(None, None, None, reason=Message(template))
