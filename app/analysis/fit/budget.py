"""Where the uncertainty of the class's result comes from, ranked, and what would help most.

Three kinds of lines. What all benches share is not reduced by pooling: its relative uncertainties are known
beforehand (`shared`). What the class's own scatter does is the rest of the draws' variance; how it divides
among technique, sinks, thermometer, leak and what else was assumed beforehand is taken from the linear model
(`linear`) at the draws' medians. These make the interval. Beyond it are what a class has left out: one end
allowance for all masses (`allowance`), and a room temperature that nobody read. Their lines, and their
advice, say that no interval includes them.
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

import numpy as np

from app.analysis.fit.allowance import one_allowance
from app.analysis.fit.at_medians import AtMedians, at_medians
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.linear import BENCH_TECHNIQUE, PRIORS, ROOM, RUN_TECHNIQUE, SINKS, THERMOMETER
from app.analysis.fit.model import Priors
from app.analysis.fit.shared import (
    COMMON_TECHNIQUE,
    FALL_LENGTH,
    GRAVITY,
    THERMOMETER_SCALE,
    shared_uncertainties,
)
from app.analysis.results import ClassBudgetLine
from app.physics.rounding import short
from app.words import N_, Message

END_ALLOWANCE = "end-allowance"
FROM_ROOM_K = 2.0  # our own choice
"""How far a class may be from a room temperature that nobody read, halfway through its runs."""


class Source(NamedTuple):
    """What a line is called, and what would make it smaller."""

    name: Message
    advice: Message


SOURCES = {
    THERMOMETER_SCALE: Source(
        Message(N_("the thermometers' scale, the same for all")),
        Message(N_("Compare the thermometers with a certified one, or use one with a tighter data sheet.")),
    ),
    COMMON_TECHNIQUE: Source(
        Message(N_("technique common to all benches")),
        Message(
            N_("Watch each other turn: every turn should let the shot fall the whole length of the tube.")
        ),
    ),
    FALL_LENGTH: Source(
        Message(N_("length of the fall")),
        Message(N_("Measure the fall with a better ruler: tube length, caps and settled shot.")),
    ),
    GRAVITY: Source(
        Message(N_("gravity")),
        Message(N_("Work out gravity from latitude and height.")),
    ),
    BENCH_TECHNIQUE: Source(
        Message(N_("technique that differs from bench to bench")),
        Message(N_("More benches, and all of them turning in the same way.")),
    ),
    SINKS: Source(
        Message(N_("heat sinks that differ from bench to bench")),
        Message(N_("Give all benches the same tube, caps and cup.")),
    ),
    RUN_TECHNIQUE: Source(
        Message(N_("technique that differs from run to run")),
        Message(N_("More runs on each bench.")),
    ),
    THERMOMETER: Source(
        Message(N_("reading of the thermometers")),
        Message(N_("A finer thermometer, or more inversions, so that the shot warms more.")),
    ),
    PRIORS: Source(
        Message(N_("what was assumed beforehand")),
        Message(N_("Masses that differ more: a third and all of what the tube takes.")),
    ),
    ROOM: Source(
        Message(N_("heat leak to the room")),
        Message(N_("Start below room temperature by half the expected warming, so that the leak cancels.")),
    ),
    END_ALLOWANCE: Source(
        Message(N_("one end allowance for all masses")),
        Message(
            N_(
                "Measure how deep each bench's shot lies in the upright tube: one end allowance for all "
                "masses is wrong by more than the interval says."
            )
        ),
    ),
}
NO_ROOM_TEMPERATURE = N_(
    "Read the room temperature once: without it a leak to the room is neither in the result nor in the "
    "interval. A usual leak moves the result by about %(u)s J/(kg·K) where the shot is on average "
    "%(far)s K from the temperature of the room."
)


def class_budget(fit: ClassFit, of_specific_heat: bool) -> tuple[ClassBudgetLine, ...]:
    """The budget of the specific heat, or else of the class value; the largest line first."""
    figure = at_medians(fit, of_specific_heat)
    variances = {source: (u * figure.middle) ** 2 for source, u in shared_uncertainties(fit).items()}
    parts = figure.answer.variance
    total_parts = sum(parts.values())
    variances |= {source: figure.variance * part / total_parts for source, part in parts.items()}
    advice = {key: source.advice for key, source in SOURCES.items()}
    one = one_allowance(fit, of_specific_heat, figure)
    if one is not None:
        variances[END_ALLOWANCE] = one.standard_uncertainty_J_per_kg_K**2
    if not fit.model.with_leak:
        u_room = _room_unknown(figure, fit.model.priors)
        variances[ROOM] = u_room**2
        advice[ROOM] = Message(NO_ROOM_TEMPERATURE, {"u": short(u_room, 2), "far": short(FROM_ROOM_K, 2)})
    total = sum(variances.values())
    lines = [
        ClassBudgetLine(source, SOURCES[source].name, sqrt(variance), variance / total, advice[source])
        for source, variance in variances.items()
        if variance > 0.0
    ]
    return tuple(sorted(lines, key=lambda line: -line.share_of_variance))


def _room_unknown(figure: AtMedians, priors: Priors) -> float:
    """What a usual leak does to a class that is on average so far from room temperature, J/(kg·K)."""
    plan = figure.plan
    lost = plan.per_mass * plan.inversions / plan.energy_J_per_kg
    of_bench = np.bincount(plan.bench, plan.weight * lost) / np.bincount(plan.bench, plan.weight)
    leak = priors.leak_J_per_K_per_inversion * FROM_ROOM_K
    return abs(float(figure.answer.pull @ of_bench)) * leak
