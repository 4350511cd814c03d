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

    A k is None for a group of one value; h, k and C are None where there is no scatter to compare
    with. `s_R` is E691's: max(s_r, √(s_x̄² + s_r²(n−1)/n)). Where the sizes differ, `n` is their
    harmonic mean and the critical values are `approximate`.
    """

    mean: float
    s_xbar: float | None
    s_r: float | None
    s_R: float | None
    h: tuple[float | None, ...]
    k: tuple[float | None, ...]
    cochran_C: float | None
    cochran_index: int | None
    groups: int
    groups_with_repeats: int
    n: float
    approximate: bool

    def h_critical(self, alpha: float = SIGNIFICANCE) -> float | None:
        """Critical |h|; None for fewer than three groups (h cannot show anything there)."""
        # P − 2 degrees of freedom, ISO 5725-2.
        return mandel_h_critical(self.groups, alpha) if self.groups >= 3 else None

    def k_critical(self, alpha: float = SIGNIFICANCE) -> float | None:
        """Critical k; None where fewer than two groups have repeats."""
        enough = self.groups_with_repeats >= 2 and self.n > 1
        return mandel_k_critical(self.groups_with_repeats, self.n, alpha) if enough else None

    def cochran_critical(self, alpha: float = SIGNIFICANCE) -> float | None:
        """Critical C; None where fewer than two groups have repeats."""
        enough = self.groups_with_repeats >= 2 and self.n > 1
        return cochran_critical(self.groups_with_repeats, self.n, alpha) if enough else None


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
    size = max(float(np.abs(a).max()) for a in arrays)
    # Scatter at the level of rounding of the values is none.
    tie = 8 * float(np.finfo(np.float64).eps) * size + 1e-300
    means = np.array([float((a - origin).mean()) for a in arrays])
    p = len(arrays)
    centre = float(means.mean())
    s_xbar = sqrt(float(np.square(means - centre).sum()) / (p - 1)) if p > 1 else None
    variances = {
        i: float(np.square(a - origin - m).sum()) / (len(a) - 1)
        for i, (a, m) in enumerate(zip(arrays, means, strict=True))
        if len(a) > 1
    }
    counts = [len(arrays[i]) for i in variances]
    n = len(counts) / sum(1.0 / c for c in counts) if counts else 1.0
    s_r2 = sum(variances.values()) / len(variances) if variances else None
    s_r = None if s_r2 is None else sqrt(s_r2)
    s_R = None
    if s_r2 is not None and s_r is not None and s_xbar is not None:
        s_R = max(s_r, sqrt(s_xbar * s_xbar + s_r2 * (n - 1) / n))
    h: list[float | None] = [None] * p
    if s_xbar is not None and s_xbar > tie:
        h = [float(m - centre) / s_xbar for m in means]
    k: list[float | None] = [None] * p
    cochran = worst = None
    if s_r2 is not None and s_r is not None and s_r > tie:
        k = [sqrt(variances[i] / s_r2) if i in variances else None for i in range(p)]
        worst = max(variances, key=lambda i: (variances[i], -i))
        cochran = variances[worst] / sum(variances.values())
    return Consistency(
        mean=origin + centre,
        s_xbar=s_xbar,
        s_r=s_r,
        s_R=s_R,
        h=tuple(h),
        k=tuple(k),
        cochran_C=cochran,
        cochran_index=worst,
        groups=p,
        groups_with_repeats=len(variances),
        n=n,
        approximate=len({len(a) for a in arrays}) > 1,
    )
