"""Variance within groups and between them by restricted maximum likelihood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy.optimize import brentq

from app.statistics.domain import Numbers


@dataclass(frozen=True)
class VarianceComponents:
    """Within-group and between-group variance by restricted maximum likelihood."""

    within: float
    between: float
    mean: float
    u_mean: float
    converged: bool


def reml_components(groups: Sequence[Numbers]) -> VarianceComponents | None:
    """REML for y_ij = μ + b_i + e_ij with one within-group variance; None where the groups cannot tell.

    With γ = σ_b²/σ², w_i = 1/(1/n_i + γ): σ² = (SSW + Σw(ȳ_i − μ)²)/(N − 1), and γ ≥ 0 makes the
    restricted likelihood largest. Differs from the analysis of variance where sizes differ or σ_b² = 0.
    Source: Searle, Casella and McCulloch (1992), 6.6.
    """
    sizes = np.array([len(group) for group in groups], dtype=np.float64)
    n, overall = int(sizes.sum()), float(np.mean(np.concatenate([np.asarray(group) for group in groups])))
    means = np.array([float(np.mean(np.asarray(group, dtype=np.float64) - overall)) for group in groups])
    ss_within = sum(float(np.square(np.asarray(group) - np.mean(group)).sum()) for group in groups)
    if n == len(groups) or len(groups) < 2 or ss_within <= 1e-24 * float(sizes @ np.square(means)):
        return None
    inverse = 1.0 / sizes

    def at(gamma: float) -> tuple[float, float, float, float]:
        w = 1.0 / (inverse + gamma)
        total = float(w.sum())
        centre = float(w @ means) / total
        squares = np.square(w)
        spread = np.square(means - centre)
        sum_of_squares = ss_within + float(w @ spread)
        slope = total - float(squares.sum()) / total - (n - 1) * float(squares @ spread) / sum_of_squares
        return slope, sum_of_squares / (n - 1), centre, total

    gamma, converged = 0.0, True
    if at(0.0)[0] < 0.0:
        high = 1.0
        while at(high)[0] < 0.0 and high < 1e30:
            high *= 4.0
        root, report = brentq(lambda g: at(g)[0], 0.0, high, xtol=1e-300, rtol=1e-13, full_output=True)
        gamma, converged = float(root), bool(report.converged)
    _, within, centre, total = at(gamma)
    return VarianceComponents(within, gamma * within, overall + centre, sqrt(within / total), converged)
