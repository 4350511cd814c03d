"""A linear mixed model with any number of crossed or nested groupings, by restricted maximum likelihood.

    y = X β + Σ_k Z_k b_k + e,   b_k ~ N(0, σ_k² I),   e_i ~ N(0, σ² + v_i)

with v_i known, often 0. β and the effects b are the solution of Henderson's equations (C. R. Henderson,
Biometrics 31 (1975) 423), written for u = b/σ so that a grouping may have no effect at all (D. Bates et al.,
J. Stat. Softw. 67 (2015) 1; both from memory). For σ_k and σ as tried, minus twice the restricted
log-likelihood is

    (n − p) log 2π + log|R| + log|C| + yᵀR⁻¹y − rᵀC⁻¹r,   C = WᵀR⁻¹W + diag(0, I),   W = [X, σ_1 Z_1, …],

and r = WᵀR⁻¹y. The block of one grouping in C is diagonal, because each value stands in one group of it at
most: the one with the most groups is eliminated exactly, and what is left is as small as the other groupings.

The effects are best linear unbiased predictions for those standard deviations: drawn towards 0 the more, the
less is known of a group. Their standard errors hold that of β, not that of the standard deviations found.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import log, pi

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import minimize
from scipy.sparse import csr_array, hstack

from app.statistics.domain import Floats, Numbers, outside, uncertainties, vector
from app.words import N_

Groups = NDArray[np.intp]
NO_GROUP = -1
"""Of a value that stands in no group of a grouping."""
_STILL = 1e-13
"""The search ends where one more step changes the likelihood by less, relative to it (our own choice)."""

_LEAST_SD = 1e-3
"""Of the residuals, as a part of the spread of y: below it the equations are too near to singular (our own
choice)."""
_NEXT_TO_NOTHING, _MOST_SD = 1e-4, 1e3
"""Of a grouping, in the same unit (our own choice)."""


@dataclass(frozen=True)
class GroupEffects:
    """What a grouping does: σ_k, and for each group its effect b and the standard error of b̂ − b."""

    sd: float
    effects: Floats
    u_effects: Floats


@dataclass(frozen=True)
class MixedFit:
    """β with its standard uncertainties, the groupings by name, σ, and −2 log restricted likelihood."""

    beta: Floats
    u_beta: Floats
    groupings: Mapping[str, GroupEffects]
    residual_sd: float
    minus_two_log_likelihood: float


@dataclass(frozen=True)
class _Solved:
    """Henderson's equations for one set of standard deviations, the groupings in the order of the equations.

    `gradient`: of the criterion, by the standard deviations of the groupings and, last, of the residuals.
    """

    criterion: float
    gradient: Floats
    beta: Floats
    u_beta: Floats
    scaled: list[Floats]
    variances: list[Floats]


class _Equations:
    """The equations of one data set: what does not change while standard deviations are tried."""

    def __init__(self, y: Floats, x: Floats, groups: Mapping[str, Groups], known: Floats) -> None:
        self.y, self.known, self.p = y, known, x.shape[1]
        sizes = {name: int(index.max()) + 1 for name, index in groups.items()}
        self.order = sorted(groups, key=lambda name: sizes[name], reverse=True)
        z = [_indicators(groups[name], sizes[name]) for name in self.order]
        self.first, self.rest = z[0], csr_array(hstack([csr_array(x), *z[1:]]))
        self.sizes = [sizes[name] for name in self.order[1:]]
        self.ends = np.cumsum([self.p, *self.sizes])[:-1]

    def solved(self, sds: Floats) -> _Solved:
        """β, the effects over their standard deviations, their variances, and the criterion."""
        of_first, of_rest, residual = (
            sds[0],
            np.r_[np.ones(self.p), np.repeat(sds[1:-1], self.sizes)],
            sds[-1],
        )
        prior = np.r_[np.zeros(self.p), np.ones(sum(self.sizes))]
        weights = 1.0 / (residual**2 + self.known)

        def products(by: Floats) -> tuple[Floats, Floats, Floats]:
            """Wᵀ diag(by) W in blocks: the first grouping's diagonal, what joins it to the rest, the rest."""
            weighted = csr_array(self.rest * by[:, None])
            across = of_first * (self.first.T @ weighted).toarray() * of_rest
            return (
                of_first**2 * (self.first.T @ by),
                across,
                of_rest[:, None] * (self.rest.T @ weighted) * of_rest,
            )

        diagonal, across, inner = products(weights)
        diagonal = diagonal + 1.0
        r_first, r_rest = (
            of_first * (self.first.T @ (weights * self.y)),
            of_rest * (self.rest.T @ (weights * self.y)),
        )
        through = across / diagonal[:, None]
        factor = cho_factor(inner + np.diag(prior) - across.T @ through, lower=True)
        inverse = cho_solve(factor, np.eye(len(prior)))
        solution = inverse @ (r_rest - through.T @ r_first)
        u_first = r_first / diagonal - through @ solution
        through_inverse = through @ inverse
        var_first, var_rest = 1.0 / diagonal + (through_inverse * through).sum(axis=1), np.diag(inverse)
        log_determinant = float(np.log(diagonal).sum()) + 2 * float(np.log(np.diag(factor[0])).sum())
        squares = float(weights @ self.y**2 - r_first @ u_first - r_rest @ solution)
        criterion = (
            (len(self.y) - self.p) * log(2 * pi) - float(np.log(weights).sum()) + log_determinant + squares
        )

        scaled = [u_first, *np.split(solution, self.ends)[1:]]
        variances = [var_first, *np.split(var_rest, self.ends)[1:]]
        by_groupings = [
            2 * float((1.0 - variance - u**2).sum()) / sd if sd > 0 else 0.0
            for sd, u, variance in zip(sds[:-1], scaled, variances, strict=True)
        ]
        away = self.y - of_first * (self.first @ u_first) - self.rest @ (of_rest * solution)
        a_first, a_across, a_inner = products(weights**2)
        leverage = float(
            a_first @ var_first - 2 * (through_inverse * a_across).sum() + (inverse * a_inner).sum()
        )
        by_residual = 2 * residual * (float(weights.sum()) - leverage - float(weights**2 @ away**2))
        return _Solved(
            criterion,
            np.array([*by_groupings, by_residual]),
            solution[: self.p],
            np.sqrt(var_rest[: self.p]),
            scaled,
            variances,
        )


def mixed_model(
    y: Numbers,
    fixed: Floats,
    groups: Mapping[str, Groups],
    known_variance: Numbers | None = None,
    kept_from_zero: Collection[str] = (),
) -> MixedFit:
    """The fit of `y` (n values) by the columns of `fixed` (n × p) and by at least one grouping.

    A grouping holds for each value the number of its group, from 0, or `NO_GROUP`. `known_variance`: v_i ≥ 0.
    `kept_from_zero`: groupings whose log σ_k is added to the log-likelihood that is searched, so that few
    groups that happen to agree are not taken to be all alike (Y. Chung et al., Psychometrika 78 (2013) 685;
    from memory). What is returned is the restricted likelihood without that.
    Raises `OutsideDomain` for too few values, or where a column of `fixed` is the others' sum.
    """
    values = vector(y, "y", fixed.shape[1] + 2)
    known = np.zeros_like(values)
    if known_variance is not None:
        known = uncertainties(known_variance, "known_variance", values, zero_allowed=True)
    if np.linalg.matrix_rank(fixed) < fixed.shape[1]:
        raise outside(N_("%(name)s: the columns are not independent of each other."), name="fixed")
    scale = float(values.std()) or 1.0
    equations = _Equations(values / scale, fixed, groups, known / scale**2)
    sds = _most_likely(equations, np.array([name in kept_from_zero for name in equations.order] + [False]))
    found = equations.solved(sds)
    groupings = {
        name: GroupEffects(
            float(sd) * scale,
            float(sd) * scale * scaled,
            float(sd) * scale * np.sqrt(np.maximum(variance, 0.0)),
        )
        for name, sd, scaled, variance in zip(
            equations.order, sds[:-1], found.scaled, found.variances, strict=True
        )
    }
    return MixedFit(
        found.beta * scale,
        found.u_beta * scale,
        {name: groupings[name] for name in groups},
        float(sds[-1]) * scale,
        found.criterion + 2 * (len(values) - fixed.shape[1]) * log(scale),
    )


def _most_likely(equations: _Equations, kept_from_zero: NDArray[np.bool_]) -> Floats:
    """The standard deviations of the groupings and, last, of the residuals, for y with a spread of 1.

    At 0 the criterion is level in a standard deviation whether or not a larger one is likelier, so that the
    search keeps a little away from it; what ends there is 0.
    """
    count = len(equations.order) + 1
    least = _LEAST_SD if equations.known.min() < _LEAST_SD**2 else _NEXT_TO_NOTHING

    def criterion(sds: Floats) -> tuple[float, Floats]:
        solved = equations.solved(sds)
        penalty = -2.0 * float(np.log(sds[kept_from_zero]).sum())
        return solved.criterion + penalty, solved.gradient - np.where(kept_from_zero, 2.0 / sds, 0.0)

    search = minimize(
        criterion,
        np.full(count, 1.0 / np.sqrt(count)),
        method="L-BFGS-B",
        jac=True,
        bounds=[(_NEXT_TO_NOTHING, _MOST_SD)] * (count - 1) + [(least, _MOST_SD)],
        options={"ftol": _STILL, "gtol": 1e-7, "maxiter": 500},
    )
    sds = np.asarray(search.x, dtype=np.float64)
    return np.where(sds <= _NEXT_TO_NOTHING, 0.0, sds)


def _indicators(index: Groups, size: int) -> csr_array:
    """A row for each value, with 1 in the column of its group."""
    (rows,) = np.nonzero(index >= 0)
    return csr_array((np.ones(len(rows)), (rows, index[rows])), shape=(len(index), size))
