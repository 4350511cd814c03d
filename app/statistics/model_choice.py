"""Whether a further coefficient earns its place: Akaike's corrected criterion and the F test.

Sources: Hurvich and Tsai, Biometrika 76 (1989) 297 (AICc); Burnham and Anderson, "Model Selection and
Multimodel Inference" (2002), 2.4 for weights of evidence; the F test of nested fits is textbook.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np
from scipy.special import fdtrc

from app.statistics.domain import Numbers, outside, vector
from app.words import N_


@dataclass(frozen=True)
class NestedF:
    """F test of a smaller fit inside a larger one; `probability` is the chance of a larger F."""

    f: float
    dof_extra: int
    dof_residual: int
    probability: float


def aicc(ss_residual: float, n: int, coefficients: int, least: float = 0.0) -> float | None:
    """AICc = n ln(SSE/n) + 2K + 2K(K + 1)/(n − K − 1), K = coefficients + 1 (the scatter counts too).

    None where n ≤ K + 1. `least` is the smallest SSE that the readings' resolution allows: a fit that
    is better than it can be earns nothing by that. Smaller is better, differences alone mean anything.
    """
    k = coefficients + 1
    if n - k - 1 <= 0:
        return None
    sse = max(ss_residual, least, 1e-290)
    return n * log(sse / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)


def aicc_known_scatter(chi2: float, n: int, coefficients: int) -> float | None:
    """AICc = χ² + 2K + 2K(K + 1)/(n − K − 1) where the uncertainties are known; K = coefficients."""
    k = coefficients
    return None if n - k - 1 <= 0 else chi2 + 2 * k + 2 * k * (k + 1) / (n - k - 1)


def evidence_weights(criteria: Numbers) -> tuple[float, ...]:
    """Weights exp(−Δ/2), summing to 1, of models with these AICc values."""
    values = vector(criteria, "criteria")
    raw = [exp(-min(float(v), 1400.0) / 2) for v in values - float(np.min(values))]
    total = sum(raw)
    return tuple(r / total for r in raw)


def nested_f(sse_small: float, p_small: int, sse_large: float, p_large: int, n: int) -> NestedF | None:
    """F = ((SSE_s − SSE_l)/(p_l − p_s))/(SSE_l/(n − p_l)); None where the larger fit is exact or full."""
    if not p_small < p_large:
        raise outside(N_("The larger model needs more coefficients than the smaller one."))
    extra, left = p_large - p_small, n - p_large
    gain = max(0.0, sse_small - sse_large)
    if left <= 0 or not sse_large > max(1e-24 * sse_small, 1e-200):
        return None
    f = (gain / extra) / (sse_large / left)
    return NestedF(f, extra, left, float(fdtrc(extra, left, f)))
