"""Usual limits for the influence of a point, which the program does not judge by."""

from __future__ import annotations

from app.statistics.quantiles import SIGNIFICANCE, student_two_sided


def cook_limit(n: int) -> float:
    """4/n: the usual line above which a point deserves a look (common practice)."""
    return 4.0 / n


def bonferroni_limit(n: int, alpha: float = SIGNIFICANCE) -> float:
    """|t| that one of n > 2 clean points about a line through the origin exceeds with probability about
    `alpha`; t at 1 − α/(2n)."""
    return student_two_sided(n - 2, alpha / n)
