"""Variance within groups and between them by restricted maximum likelihood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy.optimize import brentq

from app.statistics.domain import Numbers
from app.statistics.spread import anova


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
    table = anova(groups)
    if table.ms_within is None or table.k < 2 or table.ss_within <= 1e-24 * table.ss_between:
        return None
    sizes = np.array([len(group) for group in groups], dtype=np.float64)
    means = np.array([float(np.mean(np.asarray(group, dtype=np.float64) - table.mean)) for group in groups])
    n, inverse = table.n, 1.0 / sizes

    def at(gamma: float) -> tuple[float, float, float, float]:
        w = 1.0 / (inverse + gamma)
        total = float(w.sum())
        centre = float(w @ means) / total
        squares = np.square(w)
        spread = np.square(means - centre)
        sum_of_squares = table.ss_within + float(w @ spread)
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
    return VarianceComponents(within, gamma * within, table.mean + centre, sqrt(within / total), converged)
