"""Usual limits for the influence of a point, which the program does not judge by."""

from __future__ import annotations

from app.statistics.influence import Influence
from app.statistics.quantiles import SIGNIFICANCE, student_two_sided


def cook_limit(found: Influence) -> float:
    """4/n: the usual line above which a point deserves a look (common practice)."""
    return 4.0 / found.n


def bonferroni_limit(found: Influence, alpha: float = SIGNIFICANCE) -> float | None:
    """|t| that one of n clean points exceeds with probability about `alpha`; t at 1 − α/(2n)."""
    dof = found.n - found.p - 1
    return student_two_sided(dof, alpha / found.n) if dof > 0 else None
