"""Scatter within and between the benches of a class, on the apparent heat capacities of its runs."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.analysis.bench_table import BenchTable
from app.analysis.columns import Columns, Floats
from app.analysis.results import Spread
from app.statistics.consistency import cochran_critical, mandel_h_critical, mandel_k_critical
from app.words import N_, Message

SIGNIFICANCE = 0.01


@dataclass(frozen=True, slots=True)
class BenchScatter:
    """Per bench, by its position among all benches: sd of its runs, Mandel's h and k (NaN: unknown)."""

    sd: Floats
    h: Floats
    k: Floats
    spread: Spread


def bench_scatter(cols: Columns, table: BenchTable | None, masses_fitted: bool) -> BenchScatter:
    """ANOVA for unequal numbers of runs (ISO 5725-2), Mandel's h and k, Cochran's C at 1 %.

    s_r² = SSW/(N − k); s_L² = max(0, (MSB − s_r²)/n₀), n₀ = (N − Σn²/N)/(k − 1); s_R² = s_r² + s_L².
    k and C are for benches with the same number of runs; with unequal numbers the commonest number
    stands in. Only counted runs with a warming above the thermometer's zero have a c*.
    """
    benches = len(cols.benches)
    nothing = np.full(benches, np.nan)
    use = cols.counted & (cols.warming > 1e-6)
    if table is None or not use.any():
        return BenchScatter(nothing, nothing, nothing, _unknown(N_("No counted run has a heat capacity.")))
    bench = cols.bench_of[use]
    value = cols.energy[use] / cols.warming[use]
    origin = float(value[0])
    value = value - origin
    counts = np.bincount(bench, minlength=benches)
    here = counts > 0
    k, total = int(here.sum()), len(value)
    sums = np.bincount(bench, value, benches)
    means = sums / np.maximum(counts, 1)
    residual = value - means[bench]
    within = np.bincount(bench, residual * residual, benches)
    ss_within = float(within.sum())
    sd = np.full(benches, np.nan)
    repeated = counts > 1
    sd[repeated] = np.sqrt(within[repeated] / (counts[repeated] - 1))
    if k < 2:
        own = sqrt(ss_within / (total - 1)) if total > 1 else None
        one = Message(N_("One bench shows its own repeatability at most, not how benches differ."))
        return BenchScatter(sd, nothing, nothing, Spread(own, None, None, reason=one))
    grand = float(value.mean())
    ms_between = float((counts * (means - grand) ** 2).sum()) / (k - 1)
    bench_means = means[here]
    centred = bench_means - bench_means.mean()
    sd_means = sqrt(float(centred @ centred) / (k - 1))
    h = np.full(benches, np.nan)
    if sd_means > 1e-9 * abs(origin):
        h[here] = centred / sd_means
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
    n0 = (total - float((counts * counts).sum()) / total) / (k - 1)
    s_l2 = max(0.0, (ms_between - ms_within) / n0)
    k_statistic = np.full(benches, np.nan)
    k_critical = cochran = c_critical = None
    several = int(repeated.sum())
    if several >= 2:
        variances = sd[repeated] ** 2
        mean_variance = float(variances.mean())
        if sqrt(mean_variance) > 1e-9 * abs(origin):
            k_statistic[repeated] = sd[repeated] / sqrt(mean_variance)
            cochran = float(variances.max() / variances.sum())
        n = int(np.bincount(counts[repeated]).argmax())
        k_critical = mandel_k_critical(several, n, SIGNIFICANCE)
        c_critical = cochran_critical(several, n, SIGNIFICANCE)
    reason_masses = (
        Message(
            N_(
                "The benches used different masses; that alone makes their apparent heat capacities "
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
