"""Scatter within groups and between them: one-way analysis of variance for unequal group sizes.

Within-bench scatter is repeatability, within and between together reproducibility (ISO 5725-2).
Sources: ISO 5725-2:1994, 7.4; Searle, Casella and McCulloch, "Variance Components" (1992), 3.6.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.statistics.domain import Numbers, outside, vector
from app.words import N_


@dataclass(frozen=True)
class Anova:
    """One-way analysis of variance. Figures that the groups cannot give are None.

    `n0` = (N − Σn_i²/N)/(k − 1); `s_L2_untruncated` = (MSB − MSW)/n0 may be negative, `s_L2` is the
    same floored at 0; `s_r` = √MSW, `s_R` = √(MSW + s_L2). Groups of one value add to MSB only; where
    every group has one value there is no s_r, and so no s_L and no s_R.
    """

    k: int
    n: int
    mean: float
    ss_between: float
    ss_within: float
    ms_between: float | None
    ms_within: float | None
    n0: float | None
    f: float | None
    s_r: float | None
    s_L: float | None
    s_L2: float | None
    s_L2_untruncated: float | None
    s_R: float | None


def anova(groups: Sequence[Numbers]) -> Anova:
    """Analysis of variance of groups (benches) of values (runs), sizes free. Empty groups are refused."""
    if not len(groups):
        raise outside(N_("An analysis of variance needs at least one group."))
    sizes = np.array([len(group) for group in groups])
    if int(sizes.min()) == 0:
        raise outside(N_("A group without values cannot enter an analysis of variance."))
    flat = vector(np.concatenate([np.asarray(group, dtype=np.float64) for group in groups]), "groups")
    k, n = len(sizes), len(flat)
    index = np.repeat(np.arange(k), sizes)
    # About the first value: large numbers close together lose no digits.
    origin = float(flat[0])
    shifted = flat - origin
    mean = float(shifted.mean())
    means = np.bincount(index, shifted, k) / sizes
    within = shifted - means[index]
    ss_within = float(within @ within)
    ss_between = float(sizes @ np.square(means - mean))
    ms_between = ss_between / (k - 1) if k > 1 else None
    ms_within = ss_within / (n - k) if n > k else None
    n0 = (n - float(sizes @ sizes) / n) / (k - 1) if k > 1 else None
    untruncated = s_L2 = f = s_R = None
    if ms_between is not None and ms_within is not None and n0 is not None:
        untruncated = (ms_between - ms_within) / n0
        s_L2 = max(0.0, untruncated)
        s_R = sqrt(ms_within + s_L2)
        f = ms_between / ms_within if ms_within > 1e-24 * ms_between else None
    return Anova(
        k=k,
        n=n,
        mean=origin + mean,
        ss_between=ss_between,
        ss_within=ss_within,
        ms_between=ms_between,
        ms_within=ms_within,
        n0=n0,
        f=f,
        s_r=None if ms_within is None else sqrt(ms_within),
        s_L=None if s_L2 is None else sqrt(s_L2),
        s_L2=s_L2,
        s_L2_untruncated=untruncated,
        s_R=s_R,
    )
