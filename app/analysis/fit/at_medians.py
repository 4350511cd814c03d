"""A figure of the class in the linear model (`linear`), at the medians of the draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.analysis.columns import Indices
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import layout
from app.analysis.fit.linear import OF_SPECIFIC_HEAT, Layout, Linear, Point, class_value_at, linear
from app.analysis.fit.oddness import credible_benches, oddness
from app.analysis.fit.quantities import bench_per_mass, own_class_apparent


@dataclass(frozen=True)
class AtMedians:
    """The specific heat or the class value: its median in J/(kg·K), its variance over the draws (without what
    all benches share), and the linear model. A run's weight is its probability of being like the others.
    `benches` are positions among the benches of the class, one for each entry of `answer.pull`."""

    middle: float
    variance: float
    plan: Layout
    benches: Indices
    answer: Linear


def at_medians(fit: ClassFit, of_specific_heat: bool) -> AtMedians:
    """The specific heat, or else the class value."""
    values, draws = fit.values, fit.draws
    quantity = values.heat_capacity if of_specific_heat else own_class_apparent(fit)
    weights = np.array([0.0 if p is None else max(1.0 - p, 1e-6) for p in oddness(fit).runs])
    point = Point(*(draws.median(part) for part in (
        values.heat_capacity, values.heat_sink, values.leak, values.bench_sd, values.run_sd, values.sink_sd
    )))  # fmt: skip
    gradient = OF_SPECIFIC_HEAT
    if not of_specific_heat:
        credible = np.concatenate(credible_benches(fit))
        _, gradient = class_value_at(point, bench_per_mass(fit), credible / credible.sum())
    plan = layout(fit, weights)
    return AtMedians(
        middle=draws.median(quantity),
        variance=draws.sd(quantity) ** 2,
        plan=plan,
        benches=np.unique(fit.columns.bench_of[weights > 0.0]),
        answer=linear(plan, point, fit.model.priors, gradient),
    )
