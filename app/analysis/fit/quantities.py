"""The quantities of a class that are read from a fit, draw by draw, with what all benches share included.

Where a quantity is a mean over the benches, a bench counts with the probability that at least one of its runs
is like the others: a bench whose every run is unlike them (a mass typed in the wrong unit) would move the
mean by its mass, which nobody believes.
"""

from __future__ import annotations

import numpy as np

from app.analysis.columns import Floats
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.oddness import credible_benches
from app.analysis.fit.shared import shared_factor


def specific_heat(fit: ClassFit) -> Floats:
    """c in J/(kg·K), one for each draw."""
    return np.asarray(fit.values.heat_capacity * shared_factor(fit))


def heat_sink(fit: ClassFit) -> Floats:
    """C in J/K, one for each draw."""
    return np.asarray(fit.values.heat_sink * shared_factor(fit))


def heat_leak(fit: ClassFit) -> Floats:
    """λ in J/K per inversion, one for each draw."""
    return np.asarray(fit.values.leak * shared_factor(fit))


def class_apparent(fit: ClassFit) -> Floats:
    """The class's apparent heat capacity with its own masses, k/Σ 1/(c + C/m), J/(kg·K), one for each draw.

    It is that of benches which lose nothing to the room, whatever the class lost.
    """
    values, weights, total = fit.values, credible_benches(fit), np.zeros(len(fit.draws.weights))
    for stack, weight in zip(fit.stacks, weights, strict=True):
        apparent = values.heat_capacity[:, None] + values.heat_sink[:, None] * stack.bench_per_mass
        total = total + (weight / apparent).sum(axis=1)
    return np.asarray(sum(float(w.sum()) for w in weights) / total * shared_factor(fit))
