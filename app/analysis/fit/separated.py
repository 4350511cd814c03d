"""The specific heat with the heat sink taken out, and the sink, as medians and 95 % intervals of the draws.

Whether they are told apart is decided by the design (`design`), not by the result. Both are positive in every
draw, so that no interval reaches below zero.
"""

from __future__ import annotations

from app.analysis.fit.accepted import accepted_inside, percent_error
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import cannot_tell_apart
from app.analysis.fit.quantities import heat_leak, heat_sink, specific_heat
from app.analysis.results import Separated
from app.physics.rounding import whole
from app.words import N_, Message


def separated(fit: ClassFit) -> Separated:
    """c and C with their intervals, or the reason why this class cannot tell them apart and what to
    change."""
    reason = cannot_tell_apart(fit)
    if reason is not None:
        return Separated(False, reason)
    draws, settings = fit.draws, fit.settings
    c, sink = specific_heat(fit), heat_sink(fit)
    value, interval = draws.median(c), draws.interval_95(c)
    masses = [1e3 / x for stack in fit.stacks for x in stack.bench_per_mass.tolist()]
    per_mass = fit.model.typical_per_mass
    return Separated(
        identifiable=True,
        reason=Message(
            N_(
                "Benches with different masses (%(low)s to %(high)s g) let the class tell the shot from "
                "the heat sink."
            ),
            {"low": whole(min(masses)), "high": whole(max(masses))},
        ),
        heat_capacity_J_per_kg_K=value,
        interval_95=interval,
        heat_sink_J_per_K=draws.median(sink),
        heat_sink_interval_95=draws.interval_95(sink),
        percent_error=percent_error(value, settings),
        accepted_inside_interval=accepted_inside(interval, settings),
        heat_leak_per_inversion=draws.median(heat_leak(fit)) * per_mass if fit.model.with_leak else None,
        model="shot, heat sink and heat leak" if fit.model.with_leak else "shot and heat sink",
    )
