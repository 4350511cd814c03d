"""Random effects over benches along a line: y = β₁z₁ (+ β₂z₂) + bench effect + known error.

Var(y_i) = v_i + τ², the v_i known and τ² to be found: Paule and Mandel's estimate, the root of
Q(τ²) = k − p (J. Res. NBS 87 (1982) 377; with regressors DerSimonian and Kacker, Contemp. Clin. Trials
28 (2007) 105), DerSimonian and Laird's moment estimate floored at zero, and REML by Fisher scoring
(Viechtbauer, J. Educ. Behav. Stat. 30 (2005) 261). `app.statistics.pooling` is the case z₁ = 1 alone.

The interval. With τ² > 0 it is Hartung and Knapp's: t with k − p degrees of freedom. With τ² = 0
the benches agree better than their known errors say (q < 1), and a plain Hartung–Knapp interval
shrinks to nothing when a coarse scale makes all benches read alike: for six benches and a thermometer step
of 0.5 °C it covers 60 % instead of 95 %. Multiplying by max(1, q) with the t quantile (Knapp and
Hartung, Stat. Med. 22 (2003) 2693) covers 99 %. Here the half-width is max(t·√q, 1.645)·u: never
narrower than the 90 % interval that the known errors alone give. For normal errors and τ = 0 that covers
96.6 % for six benches and 95.5 % for sixteen; `tests.benchmarks.calibration` measures the rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt

import numpy as np
from scipy.special import stdtrit

from app.statistics.domain import FloatArray as Floats

NORMAL_90 = 1.6448536269514722


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


def reach_95(q: float, tau2: float, dof: int) -> float:
    """Half-width of a 95 % interval in standard uncertainties (see the top of this file)."""
    t = -float(stdtrit(dof, 0.025))
    if tau2 > 0.0:
        return t * sqrt(max(q, 1.0))
    return max(t * sqrt(q), NORMAL_90)


class RandomEffects:
    """One set of benches, to be fitted by any of the three methods.

    Everything is a function of the weighted sums Σwʲ·(products of y, z₁, z₂), w = 1/(v + τ²), j = 1, 2, 3:
    one matrix product for each τ² tried. y is replaced by its residuals from the unweighted fit first, so
    that the sums do not cancel.
    """

    __slots__ = ("_beta0", "_products", "dof", "k", "p", "v", "v_max", "v_min")

    def __init__(self, y: Floats, v: Floats, z1: Floats, z2: Floats | None = None) -> None:
        """Needs k > p values, v > 0; raises ZeroDivisionError where z₁ and z₂ are parallel."""
        self.k, self.p = len(y), 1 if z2 is None else 2
        self.dof = self.k - self.p
        self.v, self.v_max, self.v_min = v, float(v.max()), float(v.min())
        products = np.zeros((6, self.k))
        s11 = float(z1 @ z1)
        t1 = float(z1 @ y)
        if z2 is None:
            beta1, beta2 = t1 / s11, 0.0
            residual = y - beta1 * z1
        else:
            s12, s22, t2 = float(z1 @ z2), float(z2 @ z2), float(z2 @ y)
            det = s11 * s22 - s12 * s12
            if det <= 1e-12 * s11 * s22:
                raise ZeroDivisionError("the two regressors are parallel")
            beta1, beta2 = (s22 * t1 - s12 * t2) / det, (s11 * t2 - s12 * t1) / det
            residual = y - beta1 * z1 - beta2 * z2
            products[1], products[2], products[4] = z1 * z2, z2 * z2, z2 * residual
        products[0], products[3], products[5] = z1 * z1, z1 * residual, residual * residual
        self._beta0 = (beta1, beta2)
        self._products = products

    def _sums(self, tau2: float) -> tuple[list[list[float]], float, float]:
        """Weighted sums (rows z₁z₁, z₁z₂, z₂z₂, z₁y, z₂y, yy; columns w, w², w³), Σw and Σw²."""
        w = 1.0 / (self.v + tau2)
        powers = np.empty((3, self.k))
        powers[0] = w
        powers[1] = w * w
        powers[2] = powers[1] * w
        return (self._products @ powers.T).tolist(), float(w.sum()), float(powers[1].sum())

    def at(self, tau2: float) -> tuple[Line, float, tuple[float, float, float]]:
        """The fit at a given τ², Σw²r², and (Q, tr P, tr P²) there."""
        (a11, a12, a22, t1, t2, yy), w_sum, w2_sum = self._sums(tau2)
        if self.p == 1:
            d1, d2 = t1[0] / a11[0], 0.0
            c11, c12, c22 = 1.0 / a11[0], 0.0, 0.0
        else:
            det = a11[0] * a22[0] - a12[0] * a12[0]
            if det <= 1e-14 * a11[0] * a22[0]:
                raise ZeroDivisionError("the two regressors are parallel")
            c11, c12, c22 = a22[0] / det, -a12[0] / det, a11[0] / det
            d1, d2 = c11 * t1[0] + c12 * t2[0], c12 * t1[0] + c22 * t2[0]

        def squared_residuals(j: int) -> float:
            return (
                yy[j] - 2.0 * (d1 * t1[j] + d2 * t2[j])
                + d1 * d1 * a11[j] + 2.0 * d1 * d2 * a12[j] + d2 * d2 * a22[j]
            )  # fmt: skip

        q_total = max(squared_residuals(0), 0.0)
        m11, m12 = c11 * a11[1] + c12 * a12[1], c11 * a12[1] + c12 * a22[1]
        m21, m22 = c12 * a11[1] + c22 * a12[1], c12 * a12[1] + c22 * a22[1]
        trace_p = w_sum - m11 - m22
        trace_pp = (
            w2_sum - 2.0 * (c11 * a11[2] + 2.0 * c12 * a12[2] + c22 * a22[2])
            + m11 * m11 + 2.0 * m12 * m21 + m22 * m22
        )  # fmt: skip
        q = q_total / self.dof
        line = Line(
            self._beta0[0] + d1, self._beta0[1] + d2, c11, c12, c22, tau2, q, self.k, self.p,
            reach_95(q, tau2, self.dof),
        )  # fmt: skip
        return line, max(squared_residuals(1), 0.0), (q_total, trace_p, trace_pp)

    def paule_mandel(self) -> Line:
        """The fit with Q(τ²) = k − p, or with τ² = 0 where Q(0) is below that already."""
        dof = self.dof
        # Q at this τ² is at least k − p, and Q is convex and falls: Newton's steps never overshoot.
        tau2 = max(0.0, float(self._products[5].sum()) / dof - self.v_max)
        for _ in range(200):
            line, w2r2, (q_total, _, _) = self.at(tau2)
            excess = q_total - dof
            if excess <= 1e-10 * dof or not w2r2 > 0.0:
                break
            tau2 += excess / w2r2
        return line

    def dersimonian_laird(self) -> Line:
        """The fit with τ² = max(0, (Q − (k − p))/tr P), Q and P at τ² = 0."""
        line, _, (q_total, trace_p, _) = self.at(0.0)
        tau2 = (q_total - self.dof) / trace_p
        return self.at(tau2)[0] if tau2 > 0.0 else line

    def reml(self, start: float | None = None) -> Line:
        """The fit with the restricted likelihood's τ² ≥ 0, by Fisher scoring from Paule and Mandel's.

        A full step can jump over the top of the likelihood and stick at τ² = 0, so that a step that does
        not rise is halved; the top found is then compared with τ² = 0, which can be a second one.
        """
        tau2 = self.paule_mandel().tau2 if start is None else start
        line, w2r2, (q_total, trace_p, trace_pp) = self.at(tau2)
        deviance = self._deviance(line, q_total)
        for _ in range(100):
            if not trace_pp > 0.0:
                break
            step = (w2r2 - trace_p) / trace_pp
            if abs(max(0.0, tau2 + step) - tau2) <= 1e-7 * (tau2 + self.v_min):
                break
            for _ in range(30):
                after = max(0.0, tau2 + step)
                line, w2r2, (q_total, trace_p, trace_pp) = self.at(after)
                risen = self._deviance(line, q_total)
                if risen <= deviance + 1e-12 * abs(deviance):
                    break
                step *= 0.5
            tau2, deviance = after, risen
        if tau2 > 0.0:
            none, _, (q_none, _, _) = self.at(0.0)
            if self._deviance(none, q_none) < deviance:
                return none
        return line

    def _deviance(self, line: Line, q_total: float) -> float:
        """−2 times the restricted log likelihood, up to a constant."""
        determinant = line.cov11 if self.p == 1 else line.cov11 * line.cov22 - line.cov12**2
        return float(np.log(self.v + line.tau2).sum()) - log(max(determinant, 1e-300)) + q_total
