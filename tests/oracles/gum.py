"""The law of propagation of uncertainty for any model, with correlated inputs and several results.

Source: JCGM 100:2008 (GUM), 5.1.2, 5.2.2 (correlated inputs), H.2 (several results at once).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from app.statistics.domain import LARGEST, Floats, Numbers, outside, uncertainties, vector
from app.words import N_

Model = Callable[[Floats], float | Sequence[float] | Floats]


@dataclass(frozen=True)
class Propagated:
    """Results y, their covariance, and what each input contributes.

    `sensitivities` is ∂y/∂x, results × inputs; `contributions` is |∂y/∂x|·u(x) of the same shape.
    """

    values: Floats
    covariance: Floats
    sensitivities: Floats
    contributions: Floats

    @property
    def u(self) -> Floats:
        """Standard uncertainties of the results."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def correlation(self) -> Floats:
        """Correlation coefficients of the results (0 with a result that has no uncertainty)."""
        u = self.u
        product = np.outer(u, u)
        return np.divide(self.covariance, product, out=np.zeros_like(product), where=product > 0.0)


def propagate(model: Model, x: Numbers, u: Numbers, correlation: Floats | None = None) -> Propagated:
    """First-order propagation: V_y = J V_x Jᵀ, V_x = u_i u_j r_ij.

    The sensitivities come from differences of fourth order over ±0.01 u and ±0.02 u: within the
    uncertainty, far above rounding. `model` takes the vector of inputs and gives one number or
    several. Raises `OutsideDomain` where a result is not finite or `correlation` is no correlation
    matrix.
    """
    xs = vector(x, "x")
    us = uncertainties(u, "u", xs, zero_allowed=True)
    n = len(xs)
    r = np.eye(n) if correlation is None else np.asarray(correlation, dtype=np.float64)
    if r.shape != (n, n) or not np.allclose(r, r.T, atol=1e-9) or not np.allclose(np.diag(r), 1.0, atol=1e-9):
        raise outside(N_("The correlations must form a symmetric table with ones on its diagonal."))
    if float(np.linalg.eigvalsh(r).min()) < -1e-9:
        raise outside(N_("These correlations contradict each other."))
    values = _evaluate(model, xs)
    jacobian = np.zeros((len(values), n))
    for i in range(n):
        step = 0.01 * float(us[i])
        if step == 0.0:
            continue
        step = max(step, 1e-6 * abs(float(xs[i])))
        ahead, behind = xs.copy(), xs.copy()
        far_ahead, far_behind = xs.copy(), xs.copy()
        ahead[i] += step
        behind[i] -= step
        far_ahead[i] += 2 * step
        far_behind[i] -= 2 * step
        near = _evaluate(model, ahead) - _evaluate(model, behind)
        far = _evaluate(model, far_ahead) - _evaluate(model, far_behind)
        jacobian[:, i] = (8.0 * near - far) / (12.0 * step)
    covariance = jacobian @ (r * np.outer(us, us)) @ jacobian.T
    return Propagated(values, covariance, jacobian, np.abs(jacobian) * us)


def _evaluate(model: Model, x: Floats) -> Floats:
    result = np.atleast_1d(np.asarray(model(x), dtype=np.float64))
    if not bool(np.isfinite(result).all()):
        raise outside(N_("The model has no finite value near these inputs."))
    return result


def mean_of_sets(readings: Floats) -> tuple[Floats, Floats, Floats]:
    """Means, standard uncertainties of the means and their correlations from simultaneous sets.

    `readings` is (sets, quantities), at least two sets (GUM 5.2.3, type A evaluation).
    """
    table = np.asarray(readings, dtype=np.float64)
    if table.ndim != 2 or len(table) < 2 or not float(np.abs(table).max()) <= LARGEST:
        raise outside(N_("At least two complete sets of finite readings are needed."))
    means = table.mean(axis=0)
    deviation = table - means
    covariance = deviation.T @ deviation / (len(table) * (len(table) - 1))
    u = np.sqrt(np.diag(covariance))
    product = np.outer(u, u)
    r = np.divide(covariance, product, out=np.eye(len(means)), where=product > 0.0)
    np.fill_diagonal(r, 1.0)
    return means, u, r
