"""Weighted least squares whose uncertainties allow for runs of one bench resembling each other.

Bias-reduced cluster-robust covariance (CR2) with degrees of freedom by Satterthwaite's approximation,
for a few clusters: Bell and McCaffrey, Survey Methodology 28 (2002) 169; Pustejovsky and Tipton,
J. Bus. Econ. Stat. 36 (2018) 672, with the working covariance 1/weights. Where weights differ inside a
cluster, the adjustment is the symmetric one of the √w-scaled model; their form takes another root of
the same condition there, both leave the variance unbiased under the working model.

With Z = √W·X·L where L Lᵀ = (XᵀWX)⁻¹, all cluster matrices reduce to p × p ones:
(I − Z_g Z_gᵀ)^(−1/2) Z_g = Z_g K_g, K_g = (I − Z_gᵀ Z_g)^(−1/2), so that a bench may hold any number of runs.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from app.statistics.domain import LARGEST, FloatArray, Numbers, outside, uncertainties, vector
from app.statistics.quantiles import CONFIDENCE, student_two_sided
from app.words import N_

Interval = tuple[float, float]


@dataclass(frozen=True)
class Contrast:
    """A linear combination of coefficients with its CR2 standard uncertainty and Satterthwaite dof.

    `dof` and `interval_95` are None where a single cluster alone decides the combination.
    """

    estimate: float
    u: float
    dof: float | None
    interval_95: Interval | None

    def interval(self, confidence: float = CONFIDENCE) -> Interval | None:
        """estimate ± t·u with t at `dof`."""
        return _interval(self.estimate, self.u, self.dof, confidence)


@dataclass(frozen=True)
class ClusteredFit:
    """y = X·b with clusters. `covariance` is CR2; `model_covariance` takes the points for independent.

    `residuals` are y − X·b (not scaled by the weights); `chi2` = Σ w r².
    """

    coefficients: FloatArray
    covariance: FloatArray
    model_covariance: FloatArray
    residuals: FloatArray
    chi2: float
    n: int
    clusters: int
    _root: FloatArray
    _grams: FloatArray
    _turns: FloatArray
    _scores: FloatArray

    def contrast(self, weights_of_coefficients: Numbers) -> Contrast:
        """Σ l_j b_j with its own uncertainty and degrees of freedom."""
        combination = vector(weights_of_coefficients, "contrast")
        if combination.shape != self.coefficients.shape:
            raise outside(N_("%(name)s: one value is needed for each coefficient."), name="contrast")
        q = self._root.T @ combination
        turned = self._turns @ q
        u = sqrt(float(np.square((turned * self._scores).sum(axis=1)).sum()))
        b = (self._grams @ turned[:, :, None])[:, :, 0]
        own = (turned * b).sum(axis=1)
        shared = np.square(b).sum(axis=1)
        trace = float((own - shared).sum())
        cross = b.T @ b
        squares = float(own @ own) - 2.0 * float(own @ shared) + float((cross * cross).sum())
        dof = trace * trace / squares if trace > 1e-12 * float(own.sum()) and squares > 0.0 else None
        estimate = float(combination @ self.coefficients)
        return Contrast(estimate, u, dof, _interval(estimate, u, dof, 0.95))

    def coefficient(self, index: int) -> Contrast:
        """One coefficient with its uncertainty and degrees of freedom."""
        return self.contrast(np.eye(len(self.coefficients))[index])


def _interval(estimate: float, u: float, dof: float | None, confidence: float) -> Interval | None:
    if dof is None:
        return None
    half = student_two_sided(dof, 1.0 - confidence) * u
    return (estimate - half, estimate + half) if half < 1e300 else None


def fit_clustered(
    design: NDArray[np.float64],
    y: Numbers,
    clusters: Sequence[Hashable],
    weights: Numbers | None = None,
) -> ClusteredFit:
    """Weighted least squares of `y` on the (n, p) `design`, the rows grouped by the labels in `clusters`.

    `weights` are 1/variance (they matter up to a factor, except for `model_covariance` and `chi2`).
    Raises `OutsideDomain` for fewer than two clusters or a design that does not fix its coefficients.
    """
    ys = vector(y, "y")
    x = np.asarray(design, dtype=np.float64)
    if x.ndim != 2 or len(x) != len(ys) or len(clusters) != len(ys) or x.shape[1] < 1:
        raise outside(N_("%(name)s: one value is needed for each reading."), name="design")
    if not float(np.abs(x).max()) <= LARGEST:
        raise outside(N_("%(name)s: every value must be a finite number of a usable size."), name="design")
    places: dict[Hashable, int] = {}
    index = np.array([places.setdefault(label, len(places)) for label in clusters])
    if len(places) < 2:
        raise outside(N_("At least two benches are needed to see how far benches differ."))
    root_w = np.ones_like(ys) if weights is None else np.sqrt(uncertainties(weights, "weights", ys))
    n, p = x.shape
    scaled = x * root_w[:, None]
    size = np.abs(scaled).max(axis=0)
    if n < p or float(size.min()) < 1e-60:
        raise outside(N_("There are too few different points for this fit."))
    z, triangle = np.linalg.qr(scaled / size)
    diagonal = np.abs(np.diag(triangle))
    if float(diagonal.min()) < 1e-10:
        raise outside(N_("There are too few different points for this fit."))
    # b = L·(Zᵀ√w y) with L = diag(1/size)·R⁻¹.
    root = np.linalg.inv(triangle) / size[:, None]
    scaled_y = ys * root_w
    projected = z.T @ scaled_y
    residuals = scaled_y - z @ projected
    g = len(places)
    grams = np.zeros((g, p, p))
    np.add.at(grams, index, z[:, :, None] * z[:, None, :])
    scores = np.zeros((g, p))
    np.add.at(scores, index, z * residuals[:, None])
    turns = _inverse_roots(np.eye(p) - grams)
    moved = (turns @ scores[:, :, None])[:, :, 0] @ root.T
    return ClusteredFit(
        coefficients=root @ projected,
        covariance=moved.T @ moved,
        model_covariance=root @ root.T,
        residuals=residuals / root_w,
        chi2=float(residuals @ residuals),
        n=n,
        clusters=g,
        _root=root,
        _grams=grams,
        _turns=turns,
        _scores=scores,
    )


def _inverse_roots(matrices: FloatArray) -> FloatArray:
    """(symmetric, 0 ≤ eigenvalues ≤ 1)^(−1/2) of each, directions with eigenvalue 0 left out.

    Such a direction is a combination that one cluster alone fixes (the generalized inverse of
    Pustejovsky and Tipton).
    """
    values, vectors = np.linalg.eigh(matrices)
    kept = values > 1e-10
    factor = np.where(kept, 1.0 / np.sqrt(np.where(kept, values, 1.0)), 0.0)
    return np.asarray((vectors * factor[:, None, :]) @ np.swapaxes(vectors, 1, 2))
