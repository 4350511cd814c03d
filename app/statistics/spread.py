"""Scatter within groups (benches) and between them, and whether the groups agree with each other.

Within-bench scatter is repeatability, within and between together reproducibility (ISO 5725-2).
Sources: ISO 5725-2:1994, 7.3 (Mandel's h and k, Cochran), 7.4 and 8; ASTM E691 (h, k); Searle, Casella and
McCulloch, "Variance Components" (1992), 3.6; the closed forms of the critical values follow from Student's t
and Fisher's F: Wilrich, AStA 97 (2013) 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.statistics.domain import Numbers, outside, vector
from app.statistics.quantiles import SIGNIFICANCE, fisher, student_two_sided
from app.words import N_

TIE = 1e-9
"""Scatter below this share of the largest value is rounding, of the readings or of their quotient (our own
choice)."""


@dataclass(frozen=True)
class Anova:
    """Standard deviations by one-way analysis of variance, for unequal group sizes.

    `s_r` = √MSW within the groups; `s_L` between them, s_L² = (MSB − MSW)/n0 but not below 0, with n0 =
    (N − Σn_i²/N)/(k − 1); `s_R` = √(s_r² + s_L²). Groups of one value add to MSB only; where every group has
    one value, all three are None. With one group there is an s_r alone.
    """

    s_r: float | None
    s_L: float | None
    s_R: float | None


@dataclass(frozen=True)
class Consistency:
    """Mandel's statistics, one h and one k for each group in the order given, and Cochran's C.

    `sd` is that of each group's values. A k and an sd are None for a group of one value; h, k and C are None
    where there is no scatter to compare with.
    """

    sd: tuple[float | None, ...]
    h: tuple[float | None, ...]
    k: tuple[float | None, ...]
    cochran_C: float | None


def anova(groups: Sequence[Numbers]) -> Anova:
    """Analysis of variance of groups (benches) of values (runs), sizes free. Empty groups are refused."""
    arrays = _about_the_first(groups)
    sizes, means = np.array([len(a) for a in arrays]), np.array([float(a.mean()) for a in arrays])
    k, n = len(arrays), int(sizes.sum())
    if n == k:
        return Anova(None, None, None)
    within = sum(float(np.square(a - m).sum()) for a, m in zip(arrays, means, strict=True)) / (n - k)
    if k == 1:
        return Anova(sqrt(within), None, None)
    between = float(sizes @ np.square(means - float(sizes @ means) / n)) / (k - 1)
    n0 = (n - float(sizes @ sizes) / n) / (k - 1)
    s_L2 = max(0.0, (between - within) / n0)
    return Anova(sqrt(within), sqrt(s_L2), sqrt(within + s_L2))


def consistency(groups: Sequence[Numbers]) -> Consistency:
    """h_i = (x̄_i − mean)/s_x̄, k_i = s_i/√(mean s²), C = max s²/Σ s² of groups (benches) of values.

    The mean is that of the group means. Groups of one value have an h and no k.
    """
    arrays = _about_the_first(groups)
    tie = TIE * max(float(np.abs(np.asarray(group)).max()) for group in groups) + 1e-300
    means = np.array([float(a.mean()) for a in arrays])
    p = len(arrays)
    away = means - float(means.mean())
    s_of_means = sqrt(float(np.square(away).sum()) / (p - 1)) if p > 1 else 0.0
    variances = [
        float(np.square(a - m).sum()) / (len(a) - 1) if len(a) > 1 else None
        for a, m in zip(arrays, means, strict=True)
    ]
    known = [variance for variance in variances if variance is not None]
    s_r = sqrt(sum(known) / len(known)) if known else 0.0
    sd = [None if variance is None else sqrt(variance) for variance in variances]
    return Consistency(
        sd=tuple(sd),
        h=tuple(float(one) / s_of_means if s_of_means > tie else None for one in away),
        k=tuple(one / s_r if s_r > tie and one is not None else None for one in sd),
        cochran_C=max(known) / sum(known) if s_r > tie else None,
    )


def _about_the_first(groups: Sequence[Numbers]) -> list[np.ndarray]:
    """The groups less the first value of all: large numbers close together lose no digits."""
    if not len(groups):
        raise outside(N_("At least one group is needed."))
    arrays = [vector(group, "groups") for group in groups]
    return [a - arrays[0][0] for a in arrays]


def mandel_h_critical(p: int, alpha: float = SIGNIFICANCE) -> float:
    """h = (p − 1) t/√(p (t² + p − 2)), t two-sided at `alpha` with p − 2 degrees of freedom; p ≥ 3."""
    if p < 3:  # p − 2 degrees of freedom, ISO 5725-2
        raise outside(N_("Mandel's h needs at least three benches."))
    t = student_two_sided(p - 2, alpha)
    return (p - 1) * t / sqrt(p * (t * t + p - 2))


def mandel_k_critical(p: int, n: float, alpha: float = SIGNIFICANCE) -> float:
    """k = √(p/(1 + (p − 1) F)), F the lower `alpha` quantile, (p−1)(n−1) and n − 1 degrees of freedom."""
    return sqrt(p / (1.0 + (p - 1) * _lower_f(p, n, alpha)))


def cochran_critical(p: int, n: float, alpha: float = SIGNIFICANCE) -> float:
    """C = 1/(1 + (p − 1) F), F the lower `alpha`/p quantile, (p−1)(n−1) and n − 1 degrees of freedom."""
    return 1.0 / (1.0 + (p - 1) * _lower_f(p, n, alpha / p))


def _lower_f(p: int, n: float, probability: float) -> float:
    if p < 2 or n <= 1.0:
        raise outside(N_("Comparing scatter needs two benches with two runs or more."))
    return fisher((p - 1) * (n - 1), n - 1, probability)
