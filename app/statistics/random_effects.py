"""Random effects over benches along a line: y = β₁z₁ (+ β₂z₂) + bench effect + known error.

Var(y_i) = v_i + τ², the v_i known and τ² to be found: Paule and Mandel's estimate, the root of
Q(τ²) = k − p (J. Res. NBS 87 (1982) 377; with regressors DerSimonian and Kacker, Contemp. Clin. Trials
28 (2007) 105), DerSimonian and Laird's moment estimate floored at zero, and REML by Fisher scoring
(Viechtbauer, J. Educ. Behav. Stat. 30 (2005) 261). z₁ = 1 alone is ordinary pooling.

The interval. With τ² > 0 it is Hartung and Knapp's: t with k − p degrees of freedom. With τ² = 0
the benches agree better than their known errors say (q < 1), and a plain Hartung–Knapp interval
shrinks to nothing when a coarse scale makes all benches read alike: for six benches and a thermometer step
of 0.5 °C it covers 60 % instead of 95 %. Multiplying by max(1, q) with the t quantile (Knapp and
Hartung, Stat. Med. 22 (2003) 2693) covers 99 %. Here the half-width is max(t·√q, 1.645)·u: never
narrower than the 90 % interval that the known errors alone give. For normal errors and τ = 0 that covers
96.6 % for six benches and 95.5 % for sixteen; `tests.benchmarks.calibration` measures the rest.
"""

from __future__ import annotations

from math import log, sqrt
from typing import NamedTuple

import numpy as np

from app.statistics.domain import FloatArray as Floats
from app.statistics.quantiles import student_two_sided

NORMAL_90 = 1.6448536269514722
"""Two-sided 90 % quantile of the normal distribution: scipy.special.ndtri(0.95)."""


class Line(NamedTuple):
    """A fit: β, its covariance for τ² as found, and the ratio q = Σ(y − ŷ)²/(v + τ²)/(k − p).

    `beta2`, `cov12`, `cov22` are 0 for one regressor.
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

    @property
    def reach(self) -> float:
        """Multiple of the standard uncertainty on either side of a 95 % interval."""
        return reach_95(self.q, self.tau2, self.k - self.p)

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
    t = student_two_sided(dof)
    if tau2 > 0.0:
        return t * sqrt(max(q, 1.0))
    return max(t * sqrt(q), NORMAL_90)


# Rows of z₁, z₂, y − ŷ that are multiplied with each other: z₁z₁, z₁z₂, z₂z₂, z₁y, z₂y, yy.
_FIRST, _SECOND = np.array((0, 0, 1, 0, 1, 2)), np.array((0, 1, 1, 2, 2, 2))


class _Fit(NamedTuple):
    """The fit at one τ²: β beyond the unweighted one, its covariance, Q = Σwr², Σw²r², and the sums used."""

    tau2: float
    d1: float
    d2: float
    c11: float
    c12: float
    c22: float
    q_total: float
    w2r2: float
    sums: list[list[float]]


class RandomEffects:
    """One set of benches, to be fitted by any of the three methods.

    Everything is a function of the weighted sums Σwʲ·(products of y, z₁, z₂), w = 1/(v + τ²), j = 1, 2, 3:
    one matrix product for each τ² tried. y is replaced by its residuals from the unweighted fit first, so
    that the sums do not cancel.
    """

    __slots__ = ("_beta0", "_fits", "_products", "dof", "k", "p", "v", "v_max", "v_min")

    def __init__(self, y: Floats, v: Floats, z1: Floats, z2: Floats | None = None) -> None:
        """Needs k > p values, v > 0; raises ZeroDivisionError where z₁ and z₂ are parallel."""
        self.k, self.p = len(y), 1 if z2 is None else 2
        self.dof = self.k - self.p
        known = v.tolist()
        self.v, self.v_max, self.v_min = v, max(known), min(known)
        rows = np.zeros((3, self.k))
        rows[0], rows[2] = z1, y
        if z2 is None:
            beta1, beta2 = float(z1.dot(y)) / float(z1.dot(z1)), 0.0
            rows[2] -= beta1 * z1
        else:
            rows[1] = z2
            (s11, s12, t1), (_, s22, t2), _ = rows.dot(rows.T).tolist()
            det = s11 * s22 - s12 * s12
            if det <= 1e-12 * s11 * s22:
                raise ZeroDivisionError("the two regressors are parallel")
            beta1, beta2 = (s22 * t1 - s12 * t2) / det, (s11 * t2 - s12 * t1) / det
            rows[2] -= beta1 * z1 + beta2 * z2
        products = np.ones((7, self.k))
        np.multiply(rows.take(_FIRST, 0), rows.take(_SECOND, 0), out=products[:6])
        self._beta0 = (beta1, beta2)
        self._products = products
        self._fits: dict[float, _Fit] = {}

    def _at(self, tau2: float) -> _Fit:
        """The fit at a given τ²; the methods meet at some, so that they are kept."""
        known = self._fits.get(tau2)
        if known is None:
            known = self._fits[tau2] = self._fitted(tau2)
        return known

    def _fitted(self, tau2: float) -> _Fit:
        powers = np.empty((3, self.k))
        w = np.divide(1.0, self.v + tau2, out=powers[0])
        np.multiply(w, w, out=powers[1])
        np.multiply(powers[1], w, out=powers[2])
        # Rows z₁z₁, z₁z₂, z₂z₂, z₁y, z₂y, yy, 1; columns w, w², w³.
        sums: list[list[float]] = self._products.dot(powers.T).tolist()
        (a11, b11, _), (a12, b12, _), (a22, b22, _), (t1, s1, _), (t2, s2, _), (yy, ss, _), _ = sums
        if self.p == 1:
            c11, c12, c22 = 1.0 / a11, 0.0, 0.0
            d1, d2 = t1 / a11, 0.0
        else:
            det = a11 * a22 - a12 * a12
            if det <= 1e-14 * a11 * a22:
                raise ZeroDivisionError("the two regressors are parallel")
            c11, c12, c22 = a22 / det, -a12 / det, a11 / det
            d1, d2 = c11 * t1 + c12 * t2, c12 * t1 + c22 * t2
        q_total = yy - 2.0 * (d1 * t1 + d2 * t2) + d1 * d1 * a11 + 2.0 * d1 * d2 * a12 + d2 * d2 * a22
        w2r2 = ss - 2.0 * (d1 * s1 + d2 * s2) + d1 * d1 * b11 + 2.0 * d1 * d2 * b12 + d2 * d2 * b22
        return _Fit(tau2, d1, d2, c11, c12, c22, max(q_total, 0.0), max(w2r2, 0.0), sums)

    def without_scatter(self) -> Line:
        """The fit with τ² = 0 (fixed effects); ZeroDivisionError where one weight drowns all others."""
        return self._line(self._at(0.0))

    def _line(self, fit: _Fit) -> Line:
        # Where Q(0) is k − p but for rounding, τ² is nothing but rounding.
        tau2 = fit.tau2 if fit.tau2 > 1e-9 * self.v_min else 0.0
        return Line(
            self._beta0[0] + fit.d1, self._beta0[1] + fit.d2, fit.c11, fit.c12, fit.c22, tau2,
            fit.q_total / self.dof, self.k, self.p,
        )  # fmt: skip

    def paule_mandel(self, start: float | None = None) -> Line:
        """The fit with Q(τ²) = k − p, or with τ² = 0 where Q(0) is below that already.

        `start` is a τ² known to be near. Newton's steps are for 1/Q(τ²) = 1/(k − p): Q is a sum of
        aᵢ/(λᵢ + τ²) with aᵢ, λᵢ ≥ 0, so that 1/Q is concave and nearly straight; steps never overshoot from
        below the root, and from above it lead below it.
        """
        dof = self.dof
        # Q at this τ² is at least k − p.
        tau2 = max(0.0, float(self._products[5].sum()) / dof - self.v_max) if start is None else start
        for _ in range(200):
            fit = self._at(tau2)
            excess = fit.q_total - dof
            if abs(excess) <= 1e-10 * dof or (excess < 0.0 and tau2 <= 0.0) or not fit.w2r2 > 0.0:
                break
            after = max(0.0, tau2 + excess / fit.w2r2 * (fit.q_total / dof))
            if after == tau2:
                break
            tau2 = after
        return self._line(fit)

    def dersimonian_laird(self) -> Line:
        """The fit with τ² = max(0, (Q − (k − p))/tr P), Q and P at τ² = 0."""
        return self._line(self._dersimonian_laird())

    def _dersimonian_laird(self) -> _Fit:
        none = self._at(0.0)
        trace_p, _ = _traces(none)
        if none.q_total <= self.dof or not trace_p > 0.0:
            return none
        return self._at((none.q_total - self.dof) / trace_p)

    def reml(self, start: float | None = None) -> Line:
        """The fit with the restricted likelihood's τ² ≥ 0, by Fisher scoring from Paule and Mandel's.

        A full step can jump over the top of the likelihood and stick at τ² = 0, so that a long step that
        does not rise is halved; the top found is then compared with τ² = 0, where that is one too.
        """
        fit = self._at(self.paule_mandel().tau2 if start is None else start)
        last: tuple[float, float] | None = None
        beside = self._dersimonian_laird()
        trace_p, trace_pp = _traces(beside)
        if trace_pp > 0.0 and beside.tau2 > 0.0:
            last = beside.tau2, (beside.w2r2 - trace_p) / trace_pp
        for _ in range(100):
            trace_p, trace_pp = _traces(fit)
            if not trace_pp > 0.0:
                break
            tau2 = fit.tau2
            step = scoring = (fit.w2r2 - trace_p) / trace_pp
            if abs(max(0.0, tau2 + step) - tau2) <= 1e-8 * (tau2 + self.v_min):
                break
            between = False
            if last is not None and tau2 != last[0]:
                # Near the top the scoring step is a straight line in τ²: go to its zero at once. With a rise
                # on one side and a fall on the other the top is between the two, and so is that zero.
                slope = (scoring - last[1]) / (tau2 - last[0])
                if -5.0 < slope < -0.2:  # a secant far from Newton is not taken: our own choice
                    step = -scoring / slope
                    between = scoring * last[1] < 0.0
            last = tau2, scoring
            after = self._at(max(0.0, tau2 + step))
            # Long steps only are checked: our own choice.
            if not between and abs(step) > 0.1 * (tau2 + self.v_min):
                deviance = self._deviance(fit)
                for _ in range(30):
                    if self._deviance(after) <= deviance + 1e-12 * abs(deviance):
                        break
                    step *= 0.5
                    after = self._at(max(0.0, tau2 + step))
            fit = after
        if fit.tau2 > 0.0:
            none = self._at(0.0)
            if none.w2r2 < _traces(none)[0] and self._deviance(none) < self._deviance(fit):
                fit = none
        return self._line(fit)

    def _deviance(self, fit: _Fit) -> float:
        """−2 times the restricted log likelihood, up to a constant."""
        determinant = fit.c11 if self.p == 1 else fit.c11 * fit.c22 - fit.c12 * fit.c12
        return float(np.log(self.v + fit.tau2).sum()) - log(max(determinant, 1e-300)) + fit.q_total


def _traces(fit: _Fit) -> tuple[float, float]:
    """tr P and tr P² with P = W − WZ(ZᵀWZ)⁻¹ZᵀW."""
    (_, b11, e11), (_, b12, e12), (_, b22, e22), _, _, _, (w_sum, w2_sum, _) = fit.sums
    c11, c12, c22 = fit.c11, fit.c12, fit.c22
    m11, m12 = c11 * b11 + c12 * b12, c11 * b12 + c12 * b22
    m21, m22 = c12 * b11 + c22 * b12, c12 * b12 + c22 * b22
    third = c11 * e11 + 2.0 * c12 * e12 + c22 * e22
    return w_sum - m11 - m22, w2_sum - 2.0 * third + m11 * m11 + 2.0 * m12 * m21 + m22 * m22
