"""Where the uncertainty of the class's result comes from, ranked, and what would help most.

Two kinds of lines. What all benches share is not reduced by pooling: its relative uncertainties are known
beforehand (`shared`). What the class's own scatter does is the rest of the draws' variance; how it divides
among technique, sinks, thermometer and what was assumed beforehand is taken from the linear model (`linear`)
at the draws' medians.
"""

from __future__ import annotations

from math import sqrt

import numpy as np

from app.analysis.columns import Floats
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import layout
from app.analysis.fit.linear import (
    BENCH_TECHNIQUE,
    PRIORS,
    RUN_TECHNIQUE,
    SINKS,
    THERMOMETER,
    Point,
    variance_by_source,
)
from app.analysis.fit.oddness import oddness
from app.analysis.fit.shared import (
    COMMON_TECHNIQUE,
    FALL_LENGTH,
    GRAVITY,
    THERMOMETER_SCALE,
    shared_uncertainties,
)
from app.analysis.results import ClassBudgetLine
from app.words import N_, Message

ADVICE = {
    THERMOMETER_SCALE: Message(
        N_("Compare the thermometers with a certified one, or use one with a tighter data sheet.")
    ),
    COMMON_TECHNIQUE: Message(
        N_("Watch each other turn: every turn should let the shot fall the whole length of the tube.")
    ),
    FALL_LENGTH: Message(N_("Measure the fall with a better ruler: tube length, caps and settled shot.")),
    GRAVITY: Message(N_("Work out gravity from latitude and height.")),
    BENCH_TECHNIQUE: Message(N_("More benches, and all of them turning in the same way.")),
    SINKS: Message(N_("Give all benches the same tube, caps and cup.")),
    RUN_TECHNIQUE: Message(N_("More runs on each bench.")),
    THERMOMETER: Message(N_("A finer thermometer, or more inversions, so that the shot warms more.")),
    PRIORS: Message(N_("Masses that differ more: a third and all of what the tube takes.")),
}
"""What would make each line smaller."""


def class_budget(fit: ClassFit, of_specific_heat: bool) -> tuple[ClassBudgetLine, ...]:
    """The budget of the specific heat, or else of the class value; the largest line first."""
    values = fit.values
    quantity = values.heat_capacity if of_specific_heat else _apparent(fit)
    middle, own = fit.draws.median(quantity), fit.draws.sd(quantity) ** 2
    variances = {source: (u * middle) ** 2 for source, u in shared_uncertainties(fit).items()}
    weights = np.array([0.0 if p is None else max(1.0 - p, 1e-6) for p in oddness(fit).runs])
    point = Point(*(fit.draws.median(part) for part in (
        values.heat_capacity, values.heat_sink, values.leak, values.bench_sd, values.run_sd, values.sink_sd
    )))  # fmt: skip
    gradient = np.array([1.0, 0.0, 0.0]) if of_specific_heat else _gradient(fit, point)
    parts = variance_by_source(layout(fit, weights), point, fit.model.priors, gradient)
    total_parts = sum(parts.values())
    variances |= {source: own * part / total_parts for source, part in parts.items()}
    total = sum(variances.values())
    lines = [
        ClassBudgetLine(source, sqrt(variance), variance / total, ADVICE[source])
        for source, variance in variances.items()
        if variance > 0.0
    ]
    return tuple(sorted(lines, key=lambda line: -line.share_of_variance))


def _per_mass(fit: ClassFit) -> Floats:
    return np.concatenate([stack.bench_per_mass for stack in fit.stacks])


def _apparent(fit: ClassFit) -> Floats:
    """The class value of each draw, every bench counted alike and nothing shared included."""
    each = fit.values.heat_capacity[:, None] + fit.values.heat_sink[:, None] * _per_mass(fit)
    return np.asarray(1.0 / (1.0 / each).mean(axis=1))


def _gradient(fit: ClassFit, point: Point) -> Floats:
    """Of the class value k/Σ 1/(c + C·x) by c, C and λ."""
    per_mass = _per_mass(fit)
    apparent = point.heat_capacity + point.heat_sink * per_mass
    value = 1.0 / (1.0 / apparent).mean()
    square = np.square(value / apparent)
    return np.array([square.mean(), (square * per_mass).mean(), 0.0])
