"""The class's apparent heat capacity with its own masses, as the median and the 95 % interval of the
draws."""

from __future__ import annotations

from app.analysis.fit.accepted import accepted_inside, percent_error
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.quantities import class_apparent
from app.analysis.results import ClassValue
from app.physics.rounding import short
from app.words import N_, Message

METHOD = (
    "run-level Bayesian fit of m·e = (m·c + C)·w with bench effects, each run and bench with a small "
    "probability unlike the others; half-normal priors for heat sink, leak and scatter, half Student t for "
    "differing sinks; median and 95 % interval of the posterior"
)
FEWEST_BENCHES = 3  # our own choice
"""With fewer an interval would be the prior's."""


def class_value(fit: ClassFit) -> ClassValue:
    """The class value; without an interval, and with the reason, for one or two benches."""
    apparent = class_apparent(fit)
    value = fit.draws.median(apparent)
    interval, reason = None, None
    if fit.benches < FEWEST_BENCHES:
        reason = _too_few(fit)
    else:
        interval = fit.draws.interval_95(apparent)
    return ClassValue(
        apparent_heat_capacity_J_per_kg_K=value,
        interval_95=interval,
        method=METHOD,
        runs=fit.runs,
        benches=fit.benches,
        percent_error=percent_error(value, fit.settings),
        accepted_J_per_kg_K=fit.settings.accepted_J_per_kg_K,
        accepted_inside_interval=None if interval is None else accepted_inside(interval, fit.settings),
        percent_error_interval=None
        if interval is None
        else (percent_error(interval[0], fit.settings), percent_error(interval[1], fit.settings)),
        interval_absent_because=reason,
    )


def _too_few(fit: ClassFit) -> Message:
    if fit.benches == 1:
        return Message(N_("One bench alone cannot show how far benches differ, so there is no interval."))
    slopes = [
        float((s.warming_K / s.energy_J_per_kg)[i].mean()) for s in fit.stacks for i in range(len(s.bench))
    ]
    if min(slopes) <= 0.0:
        return Message(N_("Too few benches for an interval, and one of the two shows no warming."))
    low, high = sorted((1.0 / slopes[0], 1.0 / slopes[1]))
    return Message(
        N_("Too few benches for an interval: the two read %(low)s and %(high)s J/(kg·K)."),
        {"low": short(low), "high": short(high)},
    )
