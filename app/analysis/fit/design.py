"""Can this class tell the shot from its sink? Decided by its design, before its results are looked at.

The design is: which benches used which masses, how many runs and inversions, the thermometer's step. What a
usual class of that design would give is predicted by the linear model (`linear`) with usual scatter, the
accepted value and a usual sink. A predicted half-width above 60 % of c is "cannot be told apart".
"""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from typing import NamedTuple

import numpy as np

from app.analysis.columns import Indices, medians
from app.analysis.fit.class_fit import USUAL_BENCH_SD, USUAL_RUN_SD, ClassFit
from app.analysis.fit.linear import OF_SPECIFIC_HEAT, Layout, Point, linear
from app.analysis.fit.model import Priors
from app.analysis.fit.oddness import oddness
from app.analysis.results import ODD_FROM
from app.physics.coverage import COVERAGE_95
from app.physics.rounding import whole
from app.statistics.domain import Floats
from app.words import N_, Message

LEAST_BENCHES = 4
"""Two coefficients, c and C: two benches more than those show the scatter (our own choice)."""
LARGEST_HALF_WIDTH = 0.60  # our own choice
"""Predicted half of the 95 % interval over c, above which the two are not told apart."""
USUAL_SINK_J_PER_K = 45.0  # our own choice
USUAL_LEAK_J_PER_K_PER_INVERSION = 0.05  # our own choice
USUAL_SINK_SD = 0.10  # our own choice
ONE_LEVEL = 0.10  # our own choice
"""Masses within so much of the lightest of a level are one level."""


def layout(fit: ClassFit, weights: Floats) -> Layout:
    """The class's runs as arrays, each with its weight (one for each run given; 0 leaves it out)."""
    stacks = fit.stacks
    run = np.concatenate([stack.run.ravel() for stack in stacks])
    keep = weights[run] > 0.0

    def of(name: str) -> Floats:
        return np.asarray(np.concatenate([getattr(stack, name).ravel() for stack in stacks])[keep])

    bench = np.concatenate([np.repeat(stack.bench, stack.run.shape[1]) for stack in stacks])[keep]
    numbered: Indices = np.unique(bench, return_inverse=True)[1]
    return Layout(
        bench=numbered,
        energy_J_per_kg=of("energy_J_per_kg"),
        per_mass=of("per_mass"),
        inversions=of("inversions"),
        start_above_room_K=of("start_above_room_K"),
        weight=weights[run][keep],
        u_warming_K=of("u_warming_K"),
        with_leak=fit.model.with_leak,
    )


def believed_runs(fit: ClassFit) -> Floats:
    """1 for each counted run that is not odd, else 0: a typed mass that nobody believes is no part of the
    design."""
    return np.array([0.0 if p is None or p > ODD_FROM else 1.0 for p in oddness(fit).runs])


def believed_masses_kg(fit: ClassFit) -> Floats:
    """The median mass of each bench that has a run which is not odd; empty where every run is."""
    return bench_masses_kg(layout(fit, believed_runs(fit)))


def bench_masses_kg(plan: Layout) -> Floats:
    """The median mass of each bench."""
    return 1.0 / medians(plan.per_mass, plan.bench)


def half_width_of_design(plan: Layout, heat_capacity: float, priors: Priors) -> float:
    """Half of the 95 % interval of c that a usual class of this design can expect, as a share of c.

    The sink's prior is left open: a sink that only the prior holds back is not told apart from the shot.
    """
    leak = USUAL_LEAK_J_PER_K_PER_INVERSION if plan.with_leak else 0.0
    usual = Point(heat_capacity, USUAL_SINK_J_PER_K, leak, USUAL_BENCH_SD, USUAL_RUN_SD, USUAL_SINK_SD)
    of_c = linear(plan, usual, replace(priors, heat_sink_J_per_K=1e4), OF_SPECIFIC_HEAT)
    return COVERAGE_95 * sqrt(sum(of_c.variance.values())) / heat_capacity


def half_in_words(half: float) -> str:
    """In percent."""
    return whole(100.0 * half) if half < 10.0 else "1000"  # our own choice


def lightest_of_levels(masses_kg: Floats) -> list[float]:
    """The lightest mass of each level, ascending; masses within a tenth of it are of its level."""
    lightest: list[float] = []
    for mass in np.sort(masses_kg).tolist():
        if not lightest or mass > lightest[-1] * (1.0 + ONE_LEVEL):
            lightest.append(mass)
    return lightest


def mass_levels(masses_kg: Floats) -> int:
    """How many different masses there are."""
    return len(lightest_of_levels(masses_kg))


class Sentences(NamedTuple):
    """What is said where shot and sink cannot be told apart: too few benches, one mass, too uncertain."""

    too_few: str
    one_mass: str
    too_uncertain: str


_OF_A_CLASS = Sentences(
    N_(
        "To separate the shot from the heat sink, at least four benches are needed (so far: "
        "%(benches)s), at least two of them with about half the mass."
    ),
    N_(
        "All benches used about the same mass (%(low)s to %(high)s g), so the shot's heat and the "
        "heat sink's cannot be told apart: give at least three benches a third of the mass."
    ),
    N_(
        "With masses of %(low)s to %(high)s g (benches: %(benches)s) the specific heat would be "
        "uncertain by about %(half)s %%, so the shot's heat and the heat sink's cannot be told apart: "
        "use masses that differ more (a third and all of what the tube takes), more benches, or more "
        "inversions."
    ),
)


def cannot_tell_apart(fit: ClassFit) -> Message | None:
    """Why this design cannot tell the shot from its sink, with what to change; None where it can."""
    weights = believed_runs(fit)
    if not weights.any():
        return Message(
            N_("Every run is unlike the others, so nothing can be separated: look at the readings first.")
        )
    accepted = fit.settings.accepted_J_per_kg_K
    return why_not_told_apart(layout(fit, weights), accepted, fit.model.priors, _OF_A_CLASS)


def why_not_told_apart(
    plan: Layout, heat_capacity: float, priors: Priors, sentences: Sentences
) -> Message | None:
    """The sentence for a design, of a class or of a plan, that cannot; None where it can."""
    masses = bench_masses_kg(plan)
    values = {
        "benches": str(len(masses)),
        "low": whole(1e3 * float(masses.min())),
        "high": whole(1e3 * float(masses.max())),
    }
    if len(masses) < LEAST_BENCHES:
        return Message(sentences.too_few, values)
    half = half_width_of_design(plan, heat_capacity, priors)
    if half <= LARGEST_HALF_WIDTH:
        return None
    if mass_levels(masses) == 1:
        return Message(sentences.one_mass, values)
    return Message(sentences.too_uncertain, {**values, "half": half_in_words(half)})
