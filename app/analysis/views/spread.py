"""Scatter within and between the benches of a class, on the apparent specific heat capacities of its runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.analysis.bench_table import BenchTable
from app.analysis.columns import Columns
from app.analysis.results import Spread
from app.statistics.spread import (
    anova,
    cochran_critical,
    consistency,
    mandel_h_critical,
    mandel_k_critical,
)
from app.words import N_, Message

SIGNIFICANCE = 0.01
"""The level at which ISO 5725-2:2019 calls a bench an outlier, not only a straggler (from memory)."""


@dataclass(frozen=True, slots=True)
class BenchScatter:
    """Per bench, by its position among all benches: sd of its runs, Mandel's h and k; None where unknown."""

    sd: Sequence[float | None]
    h: Sequence[float | None]
    k: Sequence[float | None]
    spread: Spread


def bench_scatter(cols: Columns, table: BenchTable | None, masses_differ: bool) -> BenchScatter:
    """ANOVA for unequal numbers of runs (ISO 5725-2), Mandel's h and k, Cochran's C at 1 %.

    k and C are for benches with the same number of runs; with unequal numbers the commonest number
    stands in. Only counted runs with a warming above the thermometer's zero have a c*.
    """
    nothing = [None] * len(cols.benches)
    bench, value = cols.apparent
    if table is None or not len(value):
        reason = Message(N_("No counted run has a specific heat capacity."))
        return BenchScatter(nothing, nothing, nothing, Spread(None, None, None, reason=reason))
    here = np.unique(bench).tolist()
    groups = [value[bench == one] for one in here]
    variances, compared = anova(groups), consistency(groups)

    def by_bench(known: Sequence[float | None]) -> list[float | None]:
        found = dict(zip(here, known, strict=True))
        return [found.get(one) for one in range(len(cols.benches))]

    sd, h = by_bench(compared.sd), by_bench(compared.h)
    if len(groups) < 2:
        reason = Message(N_("One bench shows its own repeatability at most, not how benches differ."))
        return BenchScatter(sd, nothing, nothing, Spread(variances.s_r, None, None, reason=reason))
    h_critical = mandel_h_critical(len(groups), SIGNIFICANCE) if len(groups) > 2 else None
    if variances.s_r is None:
        reason = Message(
            N_(
                "Every bench made one run, so the scatter within a bench cannot be told from that between "
                "benches: let each bench make at least two."
            )
        )
        return BenchScatter(sd, h, nothing, Spread(None, None, None, h_critical, reason=reason))
    k_critical, c_critical = _critical(groups)
    several = k_critical is not None
    spread = Spread(
        repeatability_sd=variances.s_r,
        between_bench_sd=variances.s_L,
        reproducibility_sd=variances.s_R,
        mandel_h_critical=h_critical,
        mandel_k_critical=k_critical,
        cochran_C=compared.cochran_C if several else None,
        cochran_C_critical=c_critical,
        reason=_DIFFERENT_MASSES if masses_differ else None,
    )
    return BenchScatter(sd, h, by_bench(compared.k) if several else nothing, spread)


_DIFFERENT_MASSES = Message(
    N_(
        "The benches used different masses; that alone makes their apparent specific heat capacities "
        "differ, and it is part of the scatter between benches shown here."
    )
)


def _critical(groups: Sequence[np.ndarray]) -> tuple[float | None, float | None]:
    """Critical k and C; None where fewer than two benches repeated their run."""
    repeated = [len(group) for group in groups if len(group) > 1]
    if len(repeated) < 2:
        return None, None
    # Of numbers of runs that are equally common, the smallest.
    n = max(sorted(set(repeated)), key=repeated.count)
    return (
        mandel_k_critical(len(repeated), n, SIGNIFICANCE),
        cochran_critical(len(repeated), n, SIGNIFICANCE),
    )
