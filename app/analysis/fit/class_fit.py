"""A class's runs in, the draws of its posterior out: every figure of the class is read from these."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.stats import siegelslopes

from app.analysis.columns import Columns, columns
from app.analysis.fit.model import ClassModel, Parameters, Priors, log_sum
from app.analysis.fit.stacked import Stack, room_of_class, stacked
from app.analysis.readings import ClassSettings, RunReadings
from app.statistics.domain import Floats
from app.statistics.linear_algebra import one_thread
from app.statistics.posterior import Draws, TooFewEffectiveDraws, sample
from app.words import N_, Message

DRAWS = 4096  # our own choice
SPARE = 4  # our own choice
"""Spare normal coordinates: thermometer scale, energy common to all, accepted value, readings of the
ledger."""
FEWEST_BENCHES = 3  # our own choice
"""With fewer an interval would be the prior's, and so would a part of the value."""
FEWEST_TO_COMPARE = 3  # our own choice
"""Of two runs nobody can say which is unlike the other: then neither is."""
NEVER = 1e-12  # our own choice
"""Instead of a probability of 0, which has no logarithm."""
USUAL_BENCH_SD = 0.03  # our own choice
USUAL_RUN_SD = 0.02  # our own choice
"""Relative standard deviations assumed where the class's own readings show none."""
FEW_DRAWS = 512  # our own choice
"""Draws for probabilities: with so many, one near one half is good to 0.02."""
_WIDTHS = (0.03, 0.5, 0.7, 0.5, 1.0, 1.0)  # our own choice
"""Usual widths of the model's coordinates."""
_ALIKE, _SCATTERED = (0.02, 0.02, 0.05, 0.05), (0.12, 0.05, 0.2, 0.05)  # our own choice
"""τ, σ, κ, and λ in J/K per inversion, where the two searches for a mode start: a class may be benches that
are alike with a few unlike them, or benches that scatter widely, and its readings may allow both."""


@dataclass(frozen=True)
class ClassFit:
    """The model, its draws, and where the runs came from.

    `left_out` are positions of runs that are set aside in this fit though its model has them (`set_aside`).
    """

    columns: Columns
    settings: ClassSettings
    model: ClassModel
    draws: Draws
    left_out: frozenset[int] = frozenset()

    @cached_property
    def values(self) -> Parameters:
        """The parameters of each draw, as the class's own readings give them."""
        return self.model.parameters(self.draws.points)

    @cached_property
    def log_cases(self) -> tuple[Floats, ...]:
        """For each stack: log(probability × likelihood), shape (draws, benches, cases, 2); −∞ for cases in
        which a run that is left out is like the others."""
        found = []
        for stack in self.stacks:
            log_cases = self.model.log_cases(stack, self.values)
            if self.left_out:
                out = np.isin(stack.run, list(self.left_out)).astype(np.float64)
                log_cases[:, (out @ stack.alike.T) > 0.0] = -np.inf
            found.append(log_cases)
        return tuple(found)

    @cached_property
    def log_likelihood(self) -> Floats:
        """Of all counted runs, one entry for each draw."""
        of_benches = [log_sum(cases, (2, 3)).sum(axis=1) for cases in self.log_cases]
        return np.asarray(sum(of_benches))

    @cached_property
    def case_probabilities(self) -> tuple[Floats, ...]:
        """For each stack the probabilities of each bench's cases, averaged over few draws; shape (benches,
        cases, 2), each bench's add up to 1."""
        few = self.thinned
        with np.errstate(all="ignore"):
            return tuple(
                few.draws.mean(np.exp(cases - log_sum(cases, (2, 3))[:, :, None, None]))
                for cases in few.log_cases
            )

    @cached_property
    def thinned(self) -> ClassFit:
        """The same fit with few draws of equal weight, for questions that need no fine quantile."""
        return replace(self, draws=self.draws.evenly(FEW_DRAWS))

    @cached_property
    def room_C(self) -> float | None:
        """The class's room temperature, worked out once: each suspected slip asks for it run by run."""
        return room_of_class(self.columns, self.settings)

    def in_its_room(self, run: RunReadings) -> RunReadings:
        """The run, where it has no room temperature, with the class's as its own thermometer shows it."""
        room = self.room_C
        if run.room_temperature_C is not None or room is None:
            return run
        return replace(run, room_temperature_C=room + (run.ice_point_C or 0.0))

    @property
    def stacks(self) -> tuple[Stack, ...]:
        return self.model.stacks

    @property
    def counted(self) -> tuple[NDArray[np.bool_], ...]:
        """For each stack which runs count, shape (benches, n)."""
        return tuple(~np.isin(stack.run, list(self.left_out)) for stack in self.stacks)

    @property
    def benches(self) -> int:
        """Benches with a counted run."""
        return sum(int(counted.any(axis=1).sum()) for counted in self.counted)

    @property
    def runs(self) -> int:
        """Counted runs."""
        return sum(int(counted.sum()) for counted in self.counted)


@dataclass(frozen=True)
class NotFitted:
    """Why a class has no fit."""

    reason: Message


UNSETTLED = NotFitted(
    Message(N_("The readings do not settle on one result: check the masses, counts and temperatures first."))
)
NO_RUN = NotFitted(Message(N_("No run is counted, so there is no result.")))


def class_fit(
    runs: Sequence[RunReadings],
    settings: ClassSettings,
    priors: Priors | None = None,
    draws: int = DRAWS,
) -> ClassFit | NotFitted:
    """The fit of the counted runs, or the reason why there is none; never raises for odd readings.

    The same readings give the same digits, in whatever order the runs come.
    """
    with np.errstate(all="ignore"):
        return fit_columns(columns(runs, settings), settings, priors, draws)


def fit_columns(
    cols: Columns,
    settings: ClassSettings,
    priors: Priors | None = None,
    draws: int = DRAWS,
) -> ClassFit | NotFitted:
    """The same, from columns that are there already."""
    with np.errstate(all="ignore"), one_thread():
        if not cols.counted.any():
            return NO_RUN
        priors = Priors() if priors is None else priors
        if cols.counted.sum() < FEWEST_TO_COMPARE:
            priors = replace(priors, unlike_run=NEVER, unlike_bench=NEVER)
        model = class_model(cols, settings, priors)
        widths = np.array(_WIDTHS[: model.dimensions])
        try:
            found = sample(model.log_posterior, robust_starts(model), widths, draws, SPARE)
        except TooFewEffectiveDraws:
            return UNSETTLED
        return ClassFit(cols, settings, model, found)


def class_model(cols: Columns, settings: ClassSettings, priors: Priors) -> ClassModel:
    """The model of the counted runs; there must be one."""
    typical_u = float(np.median(cols.taken.u_warming))
    stacks = stacked(cols, settings)
    slopes = np.concatenate([np.median(stack.warming_K / stack.energy_J_per_kg, axis=1) for stack in stacks])
    energies = np.concatenate([stack.energy_J_per_kg.ravel() for stack in stacks])
    return ClassModel(
        stacks=stacks,
        # A class that shows no warming: what its thermometer could just not see.
        typical_slope=max(float(np.median(slopes)), typical_u / float(np.median(energies))),
        typical_per_mass=float(np.median(np.concatenate([stack.bench_per_mass for stack in stacks]))),
        u_warming_K=typical_u,
        with_leak=room_of_class(cols, settings) is not None,
        priors=priors,
    )


def robust_starts(model: ClassModel) -> Floats:
    """Where the search for the mode starts: the repeated-median line of the benches' 1/slope on 1/m (A. F.
    Siegel, Biometrika 69 (1982) 242, from memory; scipy's `siegelslopes`) and usual values for the rest."""
    slope = np.concatenate([np.median(s.warming_K / s.energy_J_per_kg, axis=1) for s in model.stacks])
    per_mass = np.concatenate([stack.bench_per_mass for stack in model.stacks])
    warm = slope > 0.1 * model.typical_slope
    total, share = 1.0 / model.typical_slope, 0.3
    if warm.any() and np.ptp(per_mass[warm]) > 0.1 * model.typical_per_mass:
        line = siegelslopes(1.0 / slope[warm], per_mass[warm])
        at_typical = float(line.intercept + line.slope * model.typical_per_mass)
        if at_typical > 0.0:
            total = at_typical
            share = float(np.clip(line.slope * model.typical_per_mass / total, 0.05, 0.9))
    return np.stack([model.point(total, share, *scatter) for scatter in (_ALIKE, _SCATTERED)])
