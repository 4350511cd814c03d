"""A figure over many classes with its Monte Carlo error, and whether it reaches its target."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np

SURE = 2.0
"""Monte Carlo errors beyond which a target is missed for certain."""
MET, OPEN, MISSED = "met", "open", "MISSED"


@dataclass(frozen=True)
class Figure:
    """In percent. `error_of_target` is the Monte Carlo error of a target that is simulated itself."""

    percent: float
    error: float
    least: float | None = None
    most: float | None = None
    error_of_target: float = 0.0

    @property
    def verdict(self) -> str:
        """Met where the figure reaches its target or has none; open where it does not, but by no more than
        chance allows; else missed."""
        chance = SURE * hypot(self.error, self.error_of_target)
        low, high = self.percent - chance, self.percent + chance
        below = self.least is not None and self.percent < self.least
        above = self.most is not None and self.percent > self.most
        if not below and not above:
            return MET
        certain = (self.least is not None and high < self.least) or (
            self.most is not None and low > self.most
        )
        return MISSED if certain else OPEN

    @property
    def has_target(self) -> bool:
        return self.least is not None or self.most is not None

    @property
    def beside_target(self) -> str:
        least = "" if self.least is None else f"≥ {self.least:.1f}"
        most = "" if self.most is None else f"≤ {self.most:.1f}"
        return f"{self.percent:.1f} ± {self.error:.1f} ({', '.join(part for part in (least, most) if part)})"

    def __str__(self) -> str:
        digits = 2 if self.percent < 1.0 and self.error < 0.1 else 1
        mark = {MET: "", OPEN: " ?", MISSED: " !"}[self.verdict]
        return f"{self.percent:.{digits}f} ± {self.error:.{digits}f}{mark}"


def share(
    hits: Sequence[float], of: Sequence[float], least: float | None = None, most: float | None = None
) -> Figure | None:
    """Σ hits/Σ of, one entry for each class; None without any.

    The error is that of a ratio of sums over classes (runs of one class are not independent), and not less
    than the binomial one with one hit and one miss more, so that 0 of 50 has an error.
    """
    hit, whole = np.asarray(hits, dtype=np.float64), np.asarray(of, dtype=np.float64)
    total = float(whole.sum())
    if total == 0.0:
        return None
    ratio = float(hit.sum()) / total
    between = float(np.sqrt(np.square(hit - ratio * whole).sum())) / total
    likely = (float(hit.sum()) + 1.0) / (total + 2.0)
    binomial = float(np.sqrt(likely * (1.0 - likely) / total))
    return Figure(100.0 * ratio, 100.0 * max(between, binomial), least, most)


def median(values: Sequence[float], most: float | None = None, error_of_target: float = 0.0) -> Figure | None:
    """The median; its error is half the distance of the order statistics √n/2 ranks to either side."""
    if not values:
        return None
    away = min(0.5 / np.sqrt(len(values)), 0.5)
    low, middle, high = np.quantile(values, (0.5 - away, 0.5, 0.5 + away)).tolist()
    return Figure(100.0 * middle, 100.0 * (high - low) / 2.0, None, most, error_of_target)
