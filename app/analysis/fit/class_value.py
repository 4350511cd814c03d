"""The class's apparent heat capacity with its own masses, as the median and the 95 % interval of the
draws."""

from __future__ import annotations

from math import sqrt

import numpy as np

from app.analysis.fit.accepted import accepted_inside, percent_error
from app.analysis.fit.class_fit import FEWEST_BENCHES, ClassFit
from app.analysis.fit.heat_ledger import means_like_the_others
from app.analysis.fit.quantities import class_apparent
from app.analysis.methods import FIT, FIT_WITH_LEAK, MEAN_OF_FEW
from app.analysis.results import ClassValue
from app.physics.coverage import COVERAGE_95
from app.physics.rounding import short
from app.physics.uncertainty import NO_UPPER_END
from app.statistics.domain import Floats
from app.words import N_, Message

NO_WARMING = Message(N_("There is no class value: the class as a whole shows no warming."))


def method(fit: ClassFit) -> str:
    """What computed the class's numbers, with the priors that enter."""
    return str(FIT_WITH_LEAK if fit.model.with_leak else FIT)


def warms(fit: ClassFit) -> bool:
    """Whether the median bench shows a warming: without one, c would be the prior's."""
    return float(np.median(_bench_slopes(fit))) > 0.0


def class_value(fit: ClassFit) -> ClassValue:
    """The class value; without an interval, and with the reason, for one or two benches, and where the
    class's whole warming could be zero for its thermometers: then the upper end would be the prior's."""
    apparent = class_apparent(fit)
    value, how = fit.draws.median(apparent), method(fit)
    interval, reason = None, None
    if fit.benches < FEWEST_BENCHES:
        reason, means = _too_few(fit), means_like_the_others(fit)
        if means is not None:
            value, how = 1.0 / means.warming, str(MEAN_OF_FEW)
    elif fit.model.typical_slope <= COVERAGE_95 * _u_slope_read(fit):
        reason = NO_UPPER_END
    else:
        interval = fit.draws.interval_95(apparent)
    return ClassValue(
        apparent_heat_capacity_J_per_kg_K=value,
        interval_95=interval,
        method=how,
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


def _bench_slopes(fit: ClassFit) -> Floats:
    """Each bench's median warming per energy, over the runs that count."""
    found = []
    for stack, counted in zip(fit.stacks, fit.counted, strict=True):
        slopes = np.where(counted, stack.warming_K / stack.energy_J_per_kg, np.nan)
        found.append(np.nanmedian(slopes[counted.any(axis=1)], axis=1))
    return np.concatenate(found)


def _u_slope_read(fit: ClassFit) -> float:
    """What the thermometers alone leave uncertain of the class's warming per energy: u(w)/√Σe²."""
    squares = sum(
        float(np.square(stack.energy_J_per_kg[counted]).sum())
        for stack, counted in zip(fit.stacks, fit.counted, strict=True)
    )
    return fit.model.u_warming_K / sqrt(squares)


def _too_few(fit: ClassFit) -> Message:
    if fit.benches == 1:
        return Message(N_("One bench alone cannot show how far benches differ, so there is no interval."))
    slopes = _bench_slopes(fit).tolist()
    if min(slopes) <= 0.0:
        return Message(N_("Too few benches for an interval, and one of the two shows no warming."))
    low, high = sorted((1.0 / slopes[0], 1.0 / slopes[1]))
    return Message(
        N_("Too few benches for an interval: the two read %(low)s and %(high)s J/(kg·K)."),
        {"low": short(low), "high": short(high)},
    )
