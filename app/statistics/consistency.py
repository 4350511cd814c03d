"""Whether benches agree with each other: Mandel's h and k, Cochran's C, and their critical values.

Sources: ISO 5725-2:1994, 7.3 (h, k, Cochran) and 8; ASTM E691 (h, k, its reproducibility); the closed
forms of the critical values follow from Student's t and Fisher's F: Wilrich, AStA 97 (2013) 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.statistics.domain import Numbers, outside, vector
from app.statistics.quantiles import SIGNIFICANCE, fisher, student_two_sided
from app.words import N_


@dataclass(frozen=True)
class Consistency:
    """Mandel's statistics, one h and one k for each group in the order given, and Cochran's C.

    `sd` is that of each group's values. A k and an sd are None for a group of one value; h, k and C are None
    where there is no scatter to compare with.
    """

    mean: float
    s_xbar: float | None
    s_r: float | None
    sd: tuple[float | None, ...]
    h: tuple[float | None, ...]
    k: tuple[float | None, ...]
    cochran_C: float | None


TIE = 1e-9
"""Scatter below this share of the largest value is rounding, of the readings or of their quotient (our own
choice)."""


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


def consistency(groups: Sequence[Numbers]) -> Consistency:
    """h_i = (x̄_i − mean)/s_x̄, k_i = s_i/√(mean s²), C = max s²/Σ s² of groups (benches) of values.

    The mean is that of the group means. Groups of one value have an h and no k.
    """
    if not len(groups):
        raise outside(N_("At least one group is needed."))
    arrays = [vector(group, "groups") for group in groups]
    origin = float(arrays[0][0])
    tie = TIE * max(float(np.abs(a).max()) for a in arrays) + 1e-300
    means = np.array([float((a - origin).mean()) for a in arrays])
    p = len(arrays)
    centre = float(means.mean())
    s_xbar = sqrt(float(np.square(means - centre).sum()) / (p - 1)) if p > 1 else None
    variances = [
        float(np.square(a - origin - m).sum()) / (len(a) - 1) if len(a) > 1 else None
        for a, m in zip(arrays, means, strict=True)
    ]
    known = [variance for variance in variances if variance is not None]
    s_r = sqrt(sum(known) / len(known)) if known else None
    sd = [None if variance is None else sqrt(variance) for variance in variances]
    scatters = s_r is not None and s_r > tie
    return Consistency(
        mean=origin + centre,
        s_xbar=s_xbar,
        s_r=s_r,
        sd=tuple(sd),
        h=tuple(float(m - centre) / s_xbar if s_xbar is not None and s_xbar > tie else None for m in means),
        k=tuple(one / s_r if scatters and s_r and one is not None else None for one in sd),
        cochran_C=max(known) / sum(known) if scatters else None,
    )
