"""What the priors do to the result: the specific heat and the class value with priors twice as wide.

The draws are the same, each weighted anew by (wide prior)/(prior) at its heat sink, leak and scatters;
nothing is fitted again, unless the two posteriors overlap too little.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np
from scipy import stats

from app.analysis.fit.class_fit import UNSETTLED, ClassFit, NotFitted, class_fit
from app.analysis.fit.model import SINK_SD_DOF, Priors
from app.analysis.fit.quantities import class_apparent, specific_heat
from app.analysis.fit.set_aside import refitted_without, reweighted
from app.analysis.results import WithWiderPriors
from app.statistics.domain import Floats


def with_wider_priors(fit: ClassFit) -> WithWiderPriors | NotFitted:
    """The result with priors twice as wide (`Priors.twice_as_wide`), or why there is none."""
    wide = wider_fit(fit)
    if isinstance(wide, NotFitted):
        return wide
    c, value = specific_heat(wide), class_apparent(wide)
    c_before, value_before = fit.draws.median(specific_heat(fit)), fit.draws.median(class_apparent(fit))
    c_after, value_after = wide.draws.median(c), wide.draws.median(value)
    if not (0.0 < c_before < inf and 0.0 < value_before < inf):
        return UNSETTLED
    return WithWiderPriors(
        specific_heat_J_per_kg_K=c_after,
        specific_heat_interval_95=wide.draws.interval_95(c),
        specific_heat_moves_percent=100.0 * (c_after / c_before - 1.0),
        class_value_J_per_kg_K=value_after,
        class_value_interval_95=wide.draws.interval_95(value),
        class_value_moves_percent=100.0 * (value_after / value_before - 1.0),
    )


def wider_fit(fit: ClassFit) -> ClassFit | NotFitted:
    """The fit as it is with priors twice as wide."""
    wide = fit.model.priors.twice_as_wide()
    log_ratio = log_prior_of(fit, wide) - log_prior_of(fit, fit.model.priors)
    draws = reweighted(fit.draws, log_ratio)
    return _refitted(fit, wide) if draws is None else replace(fit, draws=draws)


def log_prior_of(fit: ClassFit, priors: Priors) -> Floats:
    """Of each draw's physical quantities, up to a constant: half-normal and half Student t, as in `model`."""
    values = fit.values
    total = _half_normal(values.heat_sink, priors.heat_sink_J_per_K)
    total = total + _half_normal(values.bench_sd, priors.bench_sd)
    total = total + _half_normal(values.run_sd, priors.run_sd)
    total = total + stats.t.logpdf(values.sink_sd / priors.sink_sd, SINK_SD_DOF) - np.log(priors.sink_sd)
    if fit.model.with_leak:
        total = total + _half_normal(values.leak, priors.leak_J_per_K_per_inversion)
    return np.asarray(total)


def _half_normal(values: Floats, scale: float) -> Floats:
    return np.asarray(-0.5 * np.square(values / scale) - np.log(scale))


def _refitted(fit: ClassFit, priors: Priors) -> ClassFit | NotFitted:
    if fit.left_out:
        return refitted_without(replace(fit, model=replace(fit.model, priors=priors)), fit.left_out)
    return class_fit(fit.columns.runs, fit.settings, priors, len(fit.draws.weights))
