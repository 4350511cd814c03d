"""The specific heat with the heat sink taken out, and the sink, as medians and 95 % intervals of the draws.

Whether they are told apart is decided by the design (`design`), not by the result. Both are positive in every
draw, so that no interval reaches below zero.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.analysis.fit.accepted import accepted_inside, percent_error
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import believed_masses_kg, cannot_tell_apart
from app.analysis.fit.quantities import heat_leak, heat_sink, specific_heat
from app.analysis.results import Interval, Separated
from app.physics.rounding import whole
from app.words import N_, Message

NO_LEAK = Message(
    N_(
        "No room temperature is known, so a heat leak to the room is not in this result. One reading in the "
        "room is enough."
    )
)


@dataclass(frozen=True)
class Leak:
    """λ in J/K per inversion; None, with the reason, where it is not in the fit."""

    per_inversion_J_per_K: float | None
    interval_95: Interval | None
    absent_because: Message | None = None


def leak(fit: ClassFit) -> Leak:
    """The leak with its interval, or why there is none."""
    if not fit.model.with_leak:
        return Leak(None, None, NO_LEAK)
    found = heat_leak(fit)
    return Leak(fit.draws.median(found), fit.draws.interval_95(found))


def separated(fit: ClassFit) -> Separated:
    """c and C with their intervals, or the reason why this class cannot tell them apart and what to
    change."""
    reason = cannot_tell_apart(fit)
    if reason is not None:
        return Separated(False, reason)
    draws, settings = fit.draws, fit.settings
    c, sink = specific_heat(fit), heat_sink(fit)
    value, interval = draws.median(c), draws.interval_95(c)
    masses = believed_masses_kg(fit)
    lost = leak(fit)
    return Separated(
        identifiable=True,
        reason=Message(
            N_(
                "Benches with different masses (%(low)s to %(high)s g) let the class tell the shot from "
                "the heat sink."
            ),
            {"low": whole(1e3 * float(masses.min())), "high": whole(1e3 * float(masses.max()))},
        ),
        heat_capacity_J_per_kg_K=value,
        interval_95=interval,
        heat_sink_J_per_K=draws.median(sink),
        heat_sink_interval_95=draws.interval_95(sink),
        percent_error=percent_error(value, settings),
        accepted_inside_interval=accepted_inside(interval, settings),
        heat_leak_per_inversion=None
        if lost.per_inversion_J_per_K is None
        else lost.per_inversion_J_per_K / float(masses.mean()),
        model="shot, heat sink and heat leak" if fit.model.with_leak else "shot and heat sink",
        heat_leak_J_per_K_per_inversion=lost.per_inversion_J_per_K,
        heat_leak_interval_95=lost.interval_95,
        heat_leak_absent_because=lost.absent_because,
    )
