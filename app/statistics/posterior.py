"""A posterior distribution as weighted draws: its modes, the curvature there, importance sampling.

The density is known up to a constant, on unbounded coordinates. The steps:

1. from each start the mode uphill of it, by scipy's BFGS in coordinates divided by their usual widths;
2. the curvature there, by central differences; its inverse is a first covariance;
3. draws from a mixture of multivariate Student t distributions with 5 degrees of freedom, two about each
   mode, one as wide as the curvature says and one three times as wide, so that the shoulders of a posterior
   and what lies beside its mode are drawn too, and no weight becomes very large; each draw is weighted by
   posterior / proposal;
4. the weighted draws say which component each belongs to, and with what probability; the components' shares,
   means and covariances become those of their draws, twice (mixture population Monte Carlo: O. Cappé, R.
   Douc, A. Guillin, J.-M. Marin and C. P. Robert, Stat. Comput. 18 (2008) 447, from memory);
5. the final draws; where a few of them outweigh the rest, a component about the mode uphill of the heaviest
   is added and the draws are made anew.

The draws come from one scrambled Sobol sequence with a fixed seed (A. B. Owen, J. Complexity 14 (1998) 466,
from memory): they fill the space more evenly than chance would, and the same readings give the same digits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from scipy.optimize import minimize
from scipy.special import chdtri, logsumexp, ndtri
from scipy.stats.qmc import Sobol

from app.statistics.domain import Floats, OutsideDomain
from app.words import N_, Message

LogDensity = Callable[[Floats], Floats]
"""Points of shape (n, d) in, n logarithms of the density out (up to one constant)."""

TAIL_DOF = 5.0  # our own choice
"""Degrees of freedom of the proposal."""
LEAST_EFFECTIVE_SHARE = 0.02  # our own choice
"""With a smaller effective share of the draws their quantiles are not shown."""
ENOUGH_EFFECTIVE_SHARE = 0.25  # our own choice
"""Below this share the proposal is adapted again, and the posterior searched where the heaviest draw lies."""
FIRST_ROUNDS, MORE_ROUNDS = 2, 4  # our own choice
AROUND = 3.0  # our own choice
"""How many times wider the second component about each mode begins."""
LEAST_COMPONENT = 0.05  # our own choice
"""No component gets a smaller share of the draws, so that none is lost by chance."""
MOST_VARIANCE, MOST_CURVATURE = 9.0, 1e8  # our own choice
"""Bounds of the first covariance, in squares of the widths."""
_SEED = 20231  # our own choice: any number would do
_FLOOR = -1e12  # our own choice
"""What stands for a logarithm that is not finite."""


class TooFewEffectiveDraws(OutsideDomain):
    """So few draws carry the weight that no quantile of them can be trusted."""

    def __init__(self, effective_share: float) -> None:
        super().__init__(
            Message(
                N_(
                    "The readings do not settle on one result: only %(share)s %% of the tries carry weight. "
                    "Look at the odd runs first."
                ),
                {"share": f"{100 * effective_share:.1f}"},
            )
        )
        self.effective_share = effective_share


@dataclass(frozen=True)
class Draws:
    """Weighted draws of d coordinates.

    `points` has the shape (n, d); `weights` n entries that add up to 1; `spare` the shape (n, k): standard
    normal coordinates that belong to the same even design and are independent of the posterior.
    """

    points: Floats
    weights: Floats
    spare: Floats

    @cached_property
    def effective_share(self) -> float:
        """(Σw)²/(n Σw²): the share of equally weighted draws that would be as good (Kish)."""
        return float(1.0 / (len(self.weights) * np.square(self.weights).sum()))

    def mean(self, values: Floats) -> Floats:
        """Σ w·values over the first axis; one entry for each of the other axes."""
        return np.asarray(np.tensordot(self.weights, values, axes=(0, 0)))

    def sd(self, values: Floats) -> float:
        """Standard deviation of one quantity, shape (n,)."""
        middle = float(self.weights @ values)
        return float(np.sqrt(self.weights @ np.square(values - middle)))

    def quantiles(self, values: Floats, *probabilities: float) -> tuple[float, ...]:
        """Quantiles of one quantity, shape (n,): each draw's step of the distribution is cut in its middle
        and the middles joined by straight lines."""
        order = np.argsort(values, kind="stable")
        weights = self.weights[order]
        middles = np.cumsum(weights) - 0.5 * weights
        return tuple(np.interp(probabilities, middles, values[order]).tolist())

    def median(self, values: Floats) -> float:
        return self.quantiles(values, 0.5)[0]

    def interval_95(self, values: Floats) -> tuple[float, float]:
        """The quantiles at 2.5 and 97.5 %."""
        low, high = self.quantiles(values, 0.025, 0.975)
        return low, high

    def reweighted(self, factors: Floats) -> Draws:
        """The same draws for a posterior that is this one times `factors` (n entries, not negative).

        Raises `TooFewEffectiveDraws` where the two posteriors hardly overlap.
        """
        weights = self.weights * factors
        total = float(weights.sum())
        if not (np.isfinite(total) and total > 0.0):
            raise TooFewEffectiveDraws(0.0)
        changed = replace(self, weights=weights / total)
        if changed.effective_share < LEAST_EFFECTIVE_SHARE:
            raise TooFewEffectiveDraws(changed.effective_share)
        return changed

    def evenly(self, number: int) -> Draws:
        """So many draws of equal weight, one for each equal step of the cumulative weights (systematic
        resampling; J. Carpenter, P. Clifford and P. Fearnhead, IEE Proc. 146 (1999) 2, from memory)."""
        steps = (np.arange(number) + 0.5) / number
        taken = np.minimum(np.searchsorted(np.cumsum(self.weights), steps), len(self.weights) - 1)
        return Draws(self.points[taken], np.full(number, 1.0 / number), self.spare[taken])


@dataclass(frozen=True)
class Proposal:
    """A mixture of Student t distributions: shares (k,), means (k, d), scale matrices (k, d, d)."""

    shares: Floats
    means: Floats
    scales: Floats

    def draw(self, draws: int, spare: int) -> tuple[Floats, Floats]:
        """Points of shape (draws, d) and the spare normal coordinates, from the even design."""
        standard, component, normals = _student_design(self.means.shape[1], spare, draws)
        chosen = np.searchsorted(np.cumsum(self.shares)[:-1], component)
        roots = np.linalg.cholesky(self.scales)
        return self.means[chosen] + np.einsum("nij,nj->ni", roots[chosen], standard), normals

    def with_component(self, mean: Floats, scale: Floats) -> Proposal:
        """The mixture with one more component, of the same share as each of the others on average."""
        k = len(self.shares)
        return Proposal(
            np.append(self.shares * k, 1.0) / (k + 1),
            np.concatenate((self.means, mean[None])),
            np.concatenate((self.scales, scale[None])),
        )

    def log_densities(self, points: Floats) -> Floats:
        """log(share × density) of each component at each point, shape (draws, k), up to one constant:
        −½·log|Σ| − (ν + d)/2·log(1 + (x − μ)ᵀΣ⁻¹(x − μ)/ν)."""
        d = points.shape[1]
        found = []
        for share, mean, scale in zip(self.shares, self.means, self.scales, strict=True):
            root = np.linalg.cholesky(scale)
            squares = np.square(np.linalg.solve(root, (points - mean).T)).sum(axis=0)
            tail = -0.5 * (TAIL_DOF + d) * np.log1p(squares / TAIL_DOF)
            found.append(np.log(share) - np.log(np.diag(root)).sum() + tail)
        return np.stack(found, axis=1)


def sample(
    log_density: LogDensity,
    starts: Floats,
    widths: Floats,
    draws: int = 4096,  # our own choice
    spare: int = 0,
) -> Draws:
    """Weighted draws from the posterior.

    `starts` are points near its modes, shape (k, d); `widths` the usual width of each coordinate, shape (d,);
    `draws` is a power of two. Raises `TooFewEffectiveDraws`, and `ValueError` where the density is zero at a
    start.
    """
    if not np.isfinite(log_density(starts)).all():
        raise ValueError("the density must not be zero at a start")
    modes = np.stack([find_mode(log_density, start, widths) for start in starts])
    scales = np.stack([covariance_at(log_density, mode, widths) for mode in modes])
    proposal = Proposal(
        np.full(2 * len(modes), 0.5 / len(modes)),
        np.concatenate((modes, modes)),
        np.concatenate((scales, AROUND**2 * scales)),
    )
    for _ in range(FIRST_ROUNDS):
        proposal = _adapted(_weighted(log_density, proposal, max(draws // 8, 512), spare), proposal)
    found = _weighted(log_density, proposal, draws, spare)
    for _ in range(MORE_ROUNDS):
        if found.effective_share >= ENOUGH_EFFECTIVE_SHARE:
            break
        # One draw outweighs many where the proposal is thin: there the posterior has more than was seen.
        mode = find_mode(log_density, found.points[np.argmax(found.weights)], widths)
        proposal = _adapted(found, proposal).with_component(mode, covariance_at(log_density, mode, widths))
        found = _weighted(log_density, proposal, draws, spare)
    if found.effective_share < LEAST_EFFECTIVE_SHARE:
        raise TooFewEffectiveDraws(found.effective_share)
    return found


def find_mode(log_density: LogDensity, start: Floats, widths: Floats) -> Floats:
    """The point of highest density, uphill from `start`: BFGS with central differences.

    The differences in all coordinates are one call of `log_density` with 2d + 1 points. There are no bounds
    to keep, and scipy's L-BFGS-B spends three times as long on waking the linear algebra's threads for a
    handful of numbers.
    """
    d = len(start)
    step = 1e-4
    offsets = np.vstack([np.zeros(d), step * np.eye(d), -step * np.eye(d)])

    def downhill(z: Floats) -> tuple[float, Floats]:
        values = -_finite(log_density(start + widths * (z + offsets)))
        return float(values[0]), (values[1 : d + 1] - values[d + 1 :]) / (2.0 * step)

    found = minimize(downhill, np.zeros(d), jac=True, method="BFGS", options={"gtol": 1e-3})
    return np.asarray(start + widths * found.x)


def covariance_at(log_density: LogDensity, point: Floats, widths: Floats) -> Floats:
    """The inverse of the curvature of −log density, by central differences in steps of a tenth of the widths.

    Directions that curve the wrong way, or hardly at all, get a standard deviation of three widths; none gets
    less than a ten-thousandth of one.
    """
    d = len(point)
    step = 0.1
    basis = step * np.eye(d)
    pairs = [(i, j) for i in range(d) for j in range(i, d)]
    corners = np.array(
        [[a * basis[i] + b * basis[j] for a, b in ((1, 1), (1, -1), (-1, 1), (-1, -1))] for i, j in pairs]
    )
    values = _finite(log_density(point + widths * corners.reshape(-1, d))).reshape(-1, 4)
    curvature = np.empty((d, d))
    for (i, j), (pp, pm, mp, mm) in zip(pairs, values, strict=True):
        curvature[i, j] = curvature[j, i] = -(pp - pm - mp + mm) / (4.0 * step * step)
    eigenvalues, axes = np.linalg.eigh(curvature)
    inverse = (axes / np.clip(eigenvalues, 1.0 / MOST_VARIANCE, MOST_CURVATURE)) @ axes.T
    return np.asarray(inverse * np.outer(widths, widths))


def _weighted(log_density: LogDensity, proposal: Proposal, draws: int, spare: int) -> Draws:
    """Draws from the proposal, weighted by the posterior."""
    points, normals = proposal.draw(draws, spare)
    log_weights = _finite(log_density(points)) - logsumexp(proposal.log_densities(points), axis=1)
    weights = np.exp(log_weights - log_weights.max())
    return Draws(points, weights / weights.sum(), normals)


def _adapted(trial: Draws, proposal: Proposal) -> Proposal:
    """The components as their weighted draws say, held back to the old ones where few draws carry weight."""
    log_densities = proposal.log_densities(trial.points)
    belongs = np.exp(log_densities - logsumexp(log_densities, axis=1, keepdims=True))
    shares, means, scales = [], [], []
    for weights, mean, scale in zip(
        (belongs * trial.weights[:, None]).T, proposal.means, proposal.scales, strict=True
    ):
        share = float(weights.sum())
        shares.append(max(share, LEAST_COMPONENT))
        effective = share**2 / max(float(np.square(weights).sum()), 1e-300)
        trust = effective / (effective + 2.0 * len(mean))
        new_mean = weights @ trial.points / max(share, 1e-300)
        away = trial.points - new_mean
        scatter = away.T @ (away * weights[:, None]) / max(share, 1e-300)
        means.append(mean + trust * (new_mean - mean))
        adapted = scale + trust * (scatter - scale)
        # A little more in each direction keeps the matrix positive definite where the draws lie in a plane.
        scales.append(adapted + 1e-9 * np.diag(np.diag(adapted)))
    return Proposal(np.array(shares) / sum(shares), np.stack(means), np.stack(scales))


@lru_cache(maxsize=32)
def _student_design(d: int, spare: int, draws: int) -> tuple[Floats, Floats, Floats]:
    """The first `draws` points of one even design: standard t points (n, d), a uniform number for each that
    chooses its component, spare normals.

    A t point is a normal one times √(ν/χ²_ν). The covariance of such a point is ν/(ν − 2) times the scale
    matrix: the proposal is wider than the posterior.
    """
    uniform = np.clip(Sobol(d + 2 + spare, rng=_SEED).random(draws), 1e-10, 1.0 - 1e-10)
    chi_squared = chdtri(TAIL_DOF, uniform[:, d])
    standard = ndtri(uniform[:, :d]) * np.sqrt(TAIL_DOF / chi_squared)[:, None]
    return standard, uniform[:, d + 1], ndtri(uniform[:, d + 2 :])


def _finite(values: Floats) -> Floats:
    return np.where(np.isfinite(values), values, _FLOOR)
