"""Random effects over benches: one value for the class from each bench's mean and uncertainty.

Model: y_i = μ + b_i + e_i with sd(e_i) = u_i known and sd(b_i) = τ to be found. All estimators weigh
with w_i = 1/(u_i² + τ²). Intervals are Hartung and Knapp's, by default in the modified form that
never becomes narrower than the fixed-effect one.

Sources: DerSimonian and Laird, Control. Clin. Trials 7 (1986) 177; Paule and Mandel, J. Res. NBS 87
(1982) 377; DerSimonian and Kacker, Contemp. Clin. Trials 28 (2007) 105; Hartung and Knapp, Stat. Med.
20 (2001) 3875; Knapp and Hartung, Stat. Med. 22 (2003) 2693 (the modification, q* = max(1, q));
Viechtbauer, J. Educ. Behav. Stat. 30 (2005) 261 (REML); Higgins et al., J. R. Stat. Soc. A 172 (2009)
137 (prediction interval).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtri

from app.statistics.domain import Floats, Numbers, outside, uncertainties, vector
from app.statistics.quantiles import student_two_sided
from app.words import N_, Message

Interval = tuple[float, float]
PoolingMethod = Literal["paule-mandel", "dersimonian-laird", "reml", "fixed"]
IntervalKind = Literal["modified-hartung-knapp", "hartung-knapp", "normal"]


@dataclass(frozen=True)
class Pooled:
    """A pooled mean, in the unit of the means given.

    `tau`, `tau2` and `dof` say nothing for one bench and are None then, as is `interval_95`;
    `caution` says in words what is wrong with few benches. `u_mean` is the modified Hartung–Knapp
    standard uncertainty, `u_fixed_tau` = 1/√Σw takes τ for known. `q` is Cochran's Q (about the
    fixed-effect mean), `i2_percent` = 100 τ²/(τ² + typical u²), which for DerSimonian–Laird equals
    100 (Q − dof)/Q. `hartung_knapp_q` = Σw(y − μ)²/(k − 1) before the modification.
    """

    mean: float
    u_mean: float
    interval_95: Interval | None
    tau: float | None
    tau2: float | None
    q: float
    method: PoolingMethod
    converged: bool
    k: int
    dof: int | None
    u_fixed_tau: float
    hartung_knapp_q: float | None
    i2_percent: float | None
    tau2_untruncated: float | None = None
    caution: Message | None = None

    def u(self, kind: IntervalKind = "modified-hartung-knapp") -> float:
        """Standard uncertainty of the mean of the kind asked for; one bench has only its own."""
        if kind == "normal" or self.hartung_knapp_q is None:
            return self.u_fixed_tau
        q = self.hartung_knapp_q
        return self.u_fixed_tau * sqrt(max(1.0, q) if kind == "modified-hartung-knapp" else q)

    def interval(
        self, kind: IntervalKind = "modified-hartung-knapp", confidence: float = 0.95
    ) -> Interval | None:
        """Confidence interval of the mean; None for one bench (nothing shows the spread)."""
        factor = self._factor(kind, confidence)
        if factor is None:
            return None
        half = factor * self.u(kind)
        return self.mean - half, self.mean + half

    def prediction_interval(
        self, kind: IntervalKind = "modified-hartung-knapp", confidence: float = 0.95
    ) -> Interval | None:
        """Where the true value of a further bench would lie: μ ± t_{k−1} √(τ² + u²)."""
        factor = self._factor(kind, confidence)
        if factor is None or self.tau2 is None:
            return None
        half = factor * sqrt(self.tau2 + self.u(kind) ** 2)
        return self.mean - half, self.mean + half

    def _factor(self, kind: IntervalKind, confidence: float) -> float | None:
        if self.dof is None:
            return None
        alpha = 1.0 - confidence
        return -float(ndtri(alpha / 2)) if kind == "normal" else student_two_sided(self.dof, alpha)


def pool(means: Numbers, u: Numbers, method: PoolingMethod = "paule-mandel") -> Pooled:
    """Pool bench means with standard uncertainties `u` (same unit, each > 0).

    Raises `OutsideDomain` for empty, non-finite or mismatched input. One bench gives its own mean
    and uncertainty and no interval; two give an interval that is right and very wide.
    """
    y = vector(means, "means")
    u_given = uncertainties(u, "u", y)
    k = len(y)
    if k == 1:
        return Pooled(
            mean=float(y[0]), u_mean=float(u_given[0]), interval_95=None, tau=None, tau2=None, q=0.0,
            method=method, converged=True, k=1, dof=None, u_fixed_tau=float(u_given[0]),
            hartung_knapp_q=None, i2_percent=None,
            caution=Message(N_("One bench alone cannot show how far benches differ: no interval.")),
        )  # fmt: skip
    # Worked about the median, in units of the largest deviation or uncertainty: no cancellation,
    # no overflow, and the answer does not depend on the unit chosen.
    centre = float(np.sort(y)[k // 2])
    unit = max(float(np.abs(y - centre).max()), float(u_given.max()))
    z, v = (y - centre) / unit, np.square(u_given / unit)
    if float(v.min()) < 1e-24:
        raise outside(N_("u: the uncertainties must not be a million million times below the spread."))
    dof = k - 1
    w0 = 1.0 / v
    fixed_mean = float(w0 @ z) / float(w0.sum())
    q = float(w0 @ np.square(z - fixed_mean))
    untruncated: float | None = None
    converged = True
    if method == "dersimonian-laird":
        untruncated = (q - dof) / _scaling(w0)
        tau2 = max(0.0, untruncated)
    elif method == "paule-mandel":
        tau2, converged = _paule_mandel(z, v, q)
    elif method == "reml":
        tau2, converged = _reml(z, v)
    elif method == "fixed":
        tau2 = 0.0
    else:
        raise outside(N_("There is no pooling method called %(method)s."), method=str(method))
    w = 1.0 / (v + tau2)
    total = float(w.sum())
    mean = float(w @ z) / total
    hk = float(w @ np.square(z - mean)) / dof
    # Paule–Mandel makes q exactly 1 where τ² > 0; rounding must not decide which form is wider.
    u_fixed_tau = sqrt(1.0 / total)
    u_mean = u_fixed_tau * sqrt(max(1.0, hk))
    half = student_two_sided(dof) * u_mean
    typical = dof / _scaling(w0)
    return Pooled(
        mean=centre + unit * mean,
        u_mean=unit * u_mean,
        interval_95=(centre + unit * (mean - half), centre + unit * (mean + half)),
        tau=unit * sqrt(tau2),
        tau2=unit * unit * tau2,
        q=q,
        method=method,
        converged=converged,
        k=k,
        dof=dof,
        u_fixed_tau=unit * u_fixed_tau,
        hartung_knapp_q=hk,
        i2_percent=100.0 * tau2 / (tau2 + typical),
        tau2_untruncated=None if untruncated is None else unit * unit * untruncated,
        caution=_caution(k),
    )


def _caution(k: int) -> Message | None:
    if k == 2:
        return Message(N_("Two benches are too few for a useful interval: look at both values."))
    if k < 5:  # few studies: our own choice
        return Message(N_("With fewer than five benches the methods can disagree: compare them."))
    return None


def _scaling(w0: Floats) -> float:
    """S1 − S2/S1 of the fixed-effect weights, without cancelling: Σ w_i (S1 − w_i)/S1."""
    total = float(w0.sum())
    return float(w0 @ (total - w0)) / total


def _paule_mandel(z: Floats, v: Floats, q_at_zero: float) -> tuple[float, bool]:
    """τ² such that Q(τ²) = k − 1, or 0 where Q(0) is below that already."""
    dof = len(z) - 1
    if q_at_zero <= dof:
        return 0.0, True

    def excess(tau2: float) -> float:
        w = 1.0 / (v + tau2)
        mean = (w @ z) / w.sum()
        # dof/Q is nearly a straight line in τ², so that the root is found in a few steps.
        return float(dof / (w @ np.square(z - mean))) - 1.0

    # Q(τ²) ≤ Σ(z − z̄)²/(v_min + τ²), which is k − 1 at this bound (widened against rounding).
    upper = float(np.square(z - z.mean()).sum()) / dof * (1 + 1e-9)
    root, report = brentq(excess, 0.0, upper, xtol=1e-300, rtol=1e-14, maxiter=200, full_output=True)
    return float(root), bool(report.converged)


def _reml(z: Floats, v: Floats) -> tuple[float, bool]:
    """τ² ≥ 0 with the largest restricted likelihood.

    The likelihood can have two humps: a grid finds the right one, the root of its slope there.
    """
    spread = float(np.square(z - z.mean()).sum())
    if spread == 0.0:
        return 0.0, True
    grid = np.concatenate(([0.0], np.geomspace(1e-6 * float(v.min()), 4.0 * spread + float(v.max()), 48)))
    w = 1.0 / (v[None, :] + grid[:, None])
    total = w.sum(axis=1)
    mean = (w @ z) / total
    deviance = -np.log(w).sum(axis=1) + np.log(total) + (w * np.square(z - mean[:, None])).sum(axis=1)
    best = int(deviance.argmin())

    def slope(tau2: float) -> float:
        weight = 1.0 / (v + tau2)
        total = weight.sum()
        squares = np.square(weight)
        centre = (weight @ z) / total
        return float(squares @ np.square(z - centre) - total + squares.sum() / total)

    low, high = float(grid[max(best - 1, 0)]), float(grid[min(best + 1, len(grid) - 1)])
    if slope(low) <= 0.0:
        return low, low == 0.0
    if slope(high) >= 0.0:
        return high, False
    root, report = brentq(slope, low, high, xtol=1e-300, rtol=1e-12, maxiter=200, full_output=True)
    return float(root), bool(report.converged)
