"""Values that stand apart from the rest: modified z-scores and the generalized ESD test.

Sources: Iglewicz and Hoaglin, "How to Detect and Handle Outliers" (ASQC 1993) for the modified z-score,
0.6745 and the limit 3.5; Rosner, Technometrics 25 (1983) 165; critical values as in NIST/SEMATECH
e-Handbook 1.3.5.17.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from app.statistics.domain import LARGEST, Floats, Numbers, outside, vector
from app.statistics.quantiles import SIGNIFICANCE
from app.statistics.robust import MAD_TO_SD, MEAN_AD_TO_SD, MODIFIED_Z_LIMIT
from app.words import N_

TIE = 8 * float(np.finfo(np.float64).eps)
"""A spread below this share of the largest value is the rounding of equal values (our own choice)."""


@dataclass(frozen=True)
class ModifiedZ:
    """Modified z-scores in the order given; median, MAD and mean absolute deviation of each group."""

    scores: Floats
    median: Floats
    mad: Floats
    mean_ad: Floats

    @property
    def flagged(self) -> NDArray[np.bool_]:
        """Whether |score| is above the limit."""
        return np.abs(self.scores) > MODIFIED_Z_LIMIT


def medians_by_group(values: Floats, groups: NDArray[np.integer], counts: NDArray[np.intp]) -> Floats:
    """Median of the values of each group, 0 for a group without any.

    `groups` has the number of each value's group, from 0; `counts` how many values each group has.
    """
    # Complex numbers sort by their real part, then by the other: three times as fast as `lexsort`.
    pairs = np.empty(len(values), dtype=np.complex128)
    pairs.real, pairs.imag = groups, values
    pairs.sort()
    ordered = pairs.imag
    here = counts > 0
    start, n = (np.cumsum(counts) - counts)[here], counts[here]
    medians = np.zeros(len(counts))
    medians[here] = 0.5 * (ordered[start + (n - 1) // 2] + ordered[start + n // 2])
    return medians


def modified_z(values: Numbers, groups: NDArray[np.integer], floor: float | Numbers = 0.0) -> ModifiedZ:
    """M_i = 0.6745 (x_i − median)/MAD within each group, with a scale that never falls below `floor`.

    `groups` are whole numbers ≥ 0, one for each value. `floor` is the standard deviation that the instrument
    alone gives a value (one number, or one for each value), in the unit of the values: ties on a coarse scale
    then never flag half the class. Where MAD = 0 the floor is the scale; without a floor the mean absolute
    deviation takes over, and where that is 0 too every score is 0. For a million values: the whole column is
    sorted twice, no group is looked at alone.
    """
    x = vector(values, "values")
    codes = np.asarray(groups)
    least = np.asarray(floor, dtype=np.float64)
    if codes.shape != x.shape or (least.ndim and least.shape != x.shape):
        raise outside(N_("%(name)s: one value is needed for each reading."), name="groups")
    if codes.dtype.kind not in "iu" or int(codes.min()) < 0:
        raise outside(N_("%(name)s: whole numbers from 0 are needed."), name="groups")
    if not (float(least.min()) >= 0.0 and float(least.max()) <= LARGEST):
        raise outside(N_("%(name)s: every value must be a finite number of a usable size."), name="floor")
    counts = np.bincount(codes)
    middle = medians_by_group(x, codes, counts)
    deviation = x - middle[codes]
    absolute = np.abs(deviation)
    mad = medians_by_group(absolute, codes, counts)
    mean_ad = np.bincount(codes, absolute) / np.maximum(counts, 1)
    largest = np.zeros(len(counts))
    np.maximum.at(largest, codes, np.abs(x))
    # A spread at the level of the rounding of the values themselves is a tie.
    tie = TIE * largest + 1e-300
    # One standard deviation of each group by its own values; 0 where they say nothing.
    own = np.where(mad > tie, mad / MAD_TO_SD, 0.0)
    fallback = np.where(mean_ad > tie, MEAN_AD_TO_SD * mean_ad, 0.0)
    small = np.zeros(len(counts), dtype=np.bool_)
    small[codes[least <= tie[codes]] if least.ndim else least <= tie] = True
    scale = np.where((own == 0.0) & small, fallback, own)[codes]
    scale = np.where(scale == 0.0, np.where(small[codes], 0.0, least), np.maximum(scale, least))
    scores = np.divide(deviation, scale, out=np.zeros_like(x), where=scale > 0.0)
    return ModifiedZ(scores, middle, mad, mean_ad)


def _rounding(x: Floats) -> float:
    """A standard deviation at or below this is nothing but rounding of equal values."""
    return 4 * float(np.finfo(np.float64).eps) * float(np.abs(x).max()) + 1e-300


@dataclass(frozen=True)
class GeneralizedESD:
    """The generalized extreme studentized deviate test: every step, and who is out.

    `r` and `critical` have one entry for each step; `removed` are the positions in the order of
    removal; `outliers` are the first of them, up to the LARGEST step whose R exceeds its critical
    value (an earlier step below it does not stop the test: that is how masking is beaten).
    """

    r: tuple[float, ...]
    critical: tuple[float, ...]
    removed: tuple[int, ...]
    outliers: tuple[int, ...]


def generalized_esd_critical(n: int, step: int, alpha: float = SIGNIFICANCE) -> float:
    """λ of step 1, 2, … for n values: (n−i)t/√((n−i−1+t²)(n−i+1)), t at 1 − α/(2(n−i+1)), n−i−1 dof."""
    left = n - step
    if step < 1 or left < 2:
        raise outside(N_("The generalized ESD test must leave at least two values."))
    t = float(stdtrit(left - 1, 1.0 - alpha / (2 * (left + 1))))
    return left * t / sqrt((left - 1 + t * t) * (left + 1))


def generalized_esd(values: Numbers, most: int, alpha: float = SIGNIFICANCE) -> GeneralizedESD:
    """Up to `most` outliers among the values (no step leaves fewer than two).

    Meant for n ≥ 25, usable from about 15 (Rosner). Of equal extremes the first position is removed.
    Stops where all remaining values are equal.
    """
    x = vector(values, "values")
    alive = np.arange(len(x))
    threshold = _rounding(x)
    rs: list[float] = []
    critical: list[float] = []
    removed: list[int] = []
    outliers = 0
    for step in range(1, min(most, len(x) - 2) + 1):
        left = x[alive]
        deviation = np.abs(left - left.mean())
        sd = sqrt(float(deviation @ deviation) / (len(left) - 1))
        if sd <= threshold:
            break
        worst = int(deviation.argmax())
        rs.append(float(deviation[worst]) / sd)
        critical.append(generalized_esd_critical(len(x), step, alpha))
        removed.append(int(alive[worst]))
        alive = np.delete(alive, worst)
        if rs[-1] > critical[-1]:
            outliers = step
    return GeneralizedESD(tuple(rs), tuple(critical), tuple(removed), tuple(removed[:outliers]))
