"""Random effects over benches along a line: y = β₁z₁ (+ β₂z₂) + bench effect + known error.

Var(y_i) = v_i + τ², the v_i known and τ² to be found: Paule and Mandel's estimate, the root of
Q(τ²) = k − p (J. Res. NBS 87 (1982) 377; with regressors DerSimonian and Kacker, Contemp. Clin. Trials
28 (2007) 105), DerSimonian and Laird's moment estimate floored at zero, and REML by Fisher scoring
(Viechtbauer, J. Educ. Behav. Stat. 30 (2005) 261). `app.statistics.pooling` is the case z₁ = 1 alone.

The interval. With τ² > 0 it is Hartung and Knapp's: t with k − p degrees of freedom. With τ² = 0
the benches agree better than their known errors say (q < 1), and a plain Hartung–Knapp interval
would become narrower than those errors allow. Multiplying by max(1, q) with the t quantile (Knapp
and Hartung, Stat. Med. 22 (2003) 2693) covers 99 % instead of 95 % for six benches. Here the
half-width is max(t·√q, 1.96)·u: never narrower than the known errors alone give, and 95 to 97.7 %
for six benches and more (measured by `tests.benchmarks.calibration`).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt

import numpy as np
from scipy.special import stdtrit

from app.analysis.columns import Floats

NORMAL_95 = 1.959963984540054

_Fit = tuple[float, float, float, float, float, Floats]
"""β₁, β₂, their covariance (11, 12, 22) and the residuals."""


@dataclass(frozen=True, slots=True)
class Line:
    """A fit: β, its covariance for τ² as found, and the ratio q = Σ(y − ŷ)²/(v + τ²)/(k − p).

    `beta2`, `cov12`, `cov22` are 0 for one regressor. `reach` is the multiple of the standard
    uncertainty on either side of a 95 % interval.
    """

    beta1: float
    beta2: float
    cov11: float
    cov12: float
    cov22: float
    tau2: float
    q: float
    k: int
    p: int
    reach: float

    @property
    def u_beta1(self) -> float:
        return sqrt(self.cov11)

    @property
    def u_beta2(self) -> float:
        return sqrt(self.cov22)

    def u_of(self, d1: float, d2: float) -> float:
        """Standard uncertainty of a quantity with the derivatives d1, d2 by β₁, β₂."""
        return sqrt(max(0.0, d1 * d1 * self.cov11 + 2 * d1 * d2 * self.cov12 + d2 * d2 * self.cov22))


def _weighted(
    w: Floats, y: Floats, z1: Floats, z2: Floats | None
) -> tuple[float, float, float, float, float, Floats]:
    """β₁, β₂, their covariance and the residuals of a weighted fit."""
    w1 = w * z1
    s11 = float(w1 @ z1)
    t1 = float(w1 @ y)
    if z2 is None:
        beta = t1 / s11
        return beta, 0.0, 1.0 / s11, 0.0, 0.0, y - beta * z1
    w2 = w * z2
    s12, s22, t2 = float(w1 @ z2), float(w2 @ z2), float(w2 @ y)
    det = s11 * s22 - s12 * s12
    if det <= 1e-13 * s11 * s22:
        raise ZeroDivisionError("the two regressors are the same")
    beta1, beta2 = (s22 * t1 - s12 * t2) / det, (s11 * t2 - s12 * t1) / det
    return beta1, beta2, s22 / det, -s12 / det, s11 / det, y - beta1 * z1 - beta2 * z2


def reach_95(q: float, tau2: float, dof: int) -> float:
    """Half-width of a 95 % interval in standard uncertainties (see the top of this file)."""
    t = -float(stdtrit(dof, 0.025))
    return t if tau2 > 0.0 else max(t * sqrt(min(q, 1.0)), NORMAL_95)


def paule_mandel(y: Floats, v: Floats, z1: Floats, z2: Floats | None = None) -> Line:
    """The fit with Paule and Mandel's τ². Needs k > p; raises ZeroDivisionError where z₁, z₂ are "
    "parallel."""
    k, p = len(y), 1 if z2 is None else 2
    dof = k - p
    fit = _weighted(np.ones(k), y, z1, z2)
    # Q at this τ² is at least k − p, and Q is convex and falls: Newton's steps from here never overshoot.
    tau2 = float(fit[5] @ fit[5]) / dof - float(v.max())
    if tau2 <= 0.0:
        tau2 = 0.0
    for _ in range(200):
        w = 1.0 / (v + tau2)
        fit = _weighted(w, y, z1, z2)
        weighted_residuals = w * fit[5]
        q_total = float(weighted_residuals @ fit[5])
        excess = q_total - dof
        if excess <= 1e-12 * dof:
            break
        tau2 += excess / float(weighted_residuals @ weighted_residuals)
    q = q_total / dof
    return Line(*fit[:5], tau2, q, k, p, reach_95(q, tau2, dof))


def dersimonian_laird(y: Floats, v: Floats, z1: Floats, z2: Floats | None = None) -> Line:
    """The fit with DerSimonian and Laird's τ² = max(0, (Q − (k − p))/tr P), P of the fixed-effect fit."""
    p = 1 if z2 is None else 2
    w = 1.0 / v
    fit = _weighted(w, y, z1, z2)
    trace = float(w.sum()) - _trace_inverse_times(fit, w * w, z1, z2)
    tau2 = max(0.0, (float((w * fit[5]) @ fit[5]) - (len(y) - p)) / trace)
    return _at(tau2, y, v, z1, z2)


def restricted_likelihood(y: Floats, v: Floats, z1: Floats, z2: Floats | None = None) -> Line:
    """The fit with REML's τ² ≥ 0, by Fisher scoring from Paule and Mandel's.

    A full step can jump over the top of the likelihood and stick at τ² = 0, so that a step that does
    not rise is halved; the top found is then compared with τ² = 0, which can be a second one.
    """
    tau2 = paule_mandel(y, v, z1, z2).tau2
    w = 1.0 / (v + tau2)
    fit = _weighted(w, y, z1, z2)
    deviance = _deviance(w, fit, z2)
    for _ in range(100):
        w2 = w * w
        weighted_residuals = w * fit[5]
        trace_p = float(w.sum()) - _trace_inverse_times(fit, w2, z1, z2)
        trace_pp = (
            float(w2.sum())
            - 2.0 * _trace_inverse_times(fit, w2 * w, z1, z2)
            + _trace_inverse_times_squared(fit, w2, z1, z2)
        )
        step = (float(weighted_residuals @ weighted_residuals) - trace_p) / trace_pp
        for _ in range(30):
            after = max(0.0, tau2 + step)
            w = 1.0 / (v + after)
            fit = _weighted(w, y, z1, z2)
            risen = _deviance(w, fit, z2)
            if risen <= deviance + 1e-12 * abs(deviance):
                break
            step *= 0.5
        settled = abs(after - tau2) <= 1e-9 * (after + float(v.min()))
        tau2, deviance = after, risen
        if settled:
            break
    if tau2 > 0.0:
        w = 1.0 / v
        if _deviance(w, _weighted(w, y, z1, z2), z2) < deviance:
            tau2 = 0.0
    return _at(tau2, y, v, z1, z2)


def _deviance(w: Floats, fit: _Fit, z2: Floats | None) -> float:
    """−2 log of the restricted likelihood, up to a constant: Σ ln(1/w) + ln det(ZᵀWZ) + Σ w r²."""
    determinant = fit[2] if z2 is None else fit[2] * fit[4] - fit[3] * fit[3]
    residual = fit[5]
    return float((w * residual) @ residual) - float(np.log(w).sum()) - log(max(determinant, 1e-300))


def _at(tau2: float, y: Floats, v: Floats, z1: Floats, z2: Floats | None) -> Line:
    k, p = len(y), 1 if z2 is None else 2
    w = 1.0 / (v + tau2)
    fit = _weighted(w, y, z1, z2)
    q = float((w * fit[5]) @ fit[5]) / (k - p)
    # Here q need not be 1; the Hartung–Knapp factor √q carries it, with the same lower bound.
    t = -float(stdtrit(k - p, 0.025))
    floor = NORMAL_95 if tau2 == 0.0 else t
    return Line(*fit[:5], tau2, q, k, p, max(t * sqrt(q), floor))


def _trace_inverse_times(fit: _Fit, w: Floats, z1: Floats, z2: Floats | None) -> float:
    """tr(M⁻¹ ZᵀWZ) with M⁻¹ the covariance in `fit`."""
    if z2 is None:
        return fit[2] * float((w * z1) @ z1)
    return fit[2] * float((w * z1) @ z1) + 2.0 * fit[3] * float((w * z1) @ z2) + fit[4] * float((w * z2) @ z2)


def _trace_inverse_times_squared(fit: _Fit, w: Floats, z1: Floats, z2: Floats | None) -> float:
    """tr((M⁻¹ ZᵀWZ)²)."""
    a11 = float((w * z1) @ z1)
    if z2 is None:
        return (fit[2] * a11) ** 2
    a12, a22 = float((w * z1) @ z2), float((w * z2) @ z2)
    m11, m12 = fit[2] * a11 + fit[3] * a12, fit[2] * a12 + fit[3] * a22
    m21, m22 = fit[3] * a11 + fit[4] * a12, fit[3] * a12 + fit[4] * a22
    return m11 * m11 + 2.0 * m12 * m21 + m22 * m22
