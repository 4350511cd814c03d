"""A class's runs in, the draws of its posterior out: every figure of the class is read from these."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.stats import siegelslopes

from app.analysis.columns import LEAST_U_WARMING_K, Columns, Floats, columns
from app.analysis.fit.model import ClassModel, Parameters, Priors, log_sum
from app.analysis.fit.stacked import Stack, above_room, stacked
from app.analysis.results import ClassSettings, RunReadings
from app.physics.uncertainty import warming_uncertainty
from app.statistics.posterior import Draws, TooFewEffectiveDraws, sample
from app.words import N_, Message

SPARE = 4  # our own choice
"""Spare normal coordinates: thermometer scale, energy common to all, accepted value, readings of the
ledger."""
_WIDTHS = (0.03, 0.5, 0.7, 0.5, 1.0, 1.0)  # our own choice
"""Usual widths of the model's coordinates."""
_ALIKE, _SCATTERED = (0.02, 0.02, 0.05, 0.05), (0.12, 0.05, 0.2, 0.05)  # our own choice
"""τ, σ, κ, and λ in J/K per inversion, where the two searches for a mode start: a class may be benches that
are alike with a few unlike them, or benches that scatter widely, and its readings may allow both."""


@dataclass(frozen=True)
class ClassFit:
    """The model, its draws, and where the runs came from.

    `left_out` are positions of runs that are set aside in this fit though its model has them (`set_aside`).
    `thermometer_steps_K` has the step of each run's thermometer, in the order of the runs given; None where
    the settings' one step is everybody's.
    """

    columns: Columns
    settings: ClassSettings
    model: ClassModel
    draws: Draws
    left_out: frozenset[int] = frozenset()
    thermometer_steps_K: tuple[float, ...] | None = None

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
        of_benches = [log_sum(cases).sum(axis=1) for cases in self.log_cases]
        return np.asarray(sum(of_benches))

    @cached_property
    def case_probabilities(self) -> tuple[Floats, ...]:
        """For each stack the probabilities of each bench's cases, averaged over the draws; shape (benches,
        cases, 2), each bench's add up to 1."""
        with np.errstate(all="ignore"):
            return tuple(
                self.draws.mean(np.exp(cases - log_sum(cases)[:, :, None, None])) for cases in self.log_cases
            )

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
    draws: int = 4096,  # our own choice
    thermometer_steps_K: Sequence[float] | None = None,
) -> ClassFit | NotFitted:
    """The fit of the counted runs, or the reason why there is none; never raises for odd readings.

    The same readings give the same digits, in whatever order the runs come. `thermometer_steps_K` has one
    step for each run, where the class's thermometers differ; without it the settings' step is everybody's.
    """
    with np.errstate(all="ignore"):
        cols = columns(runs, settings)
        if not cols.counted.any():
            return NO_RUN
        steps = None if thermometer_steps_K is None else tuple(thermometer_steps_K)
        model = class_model(cols, settings, Priors() if priors is None else priors, steps)
        widths = np.array(_WIDTHS[: len(model.names)])
        try:
            found = sample(model.log_posterior, robust_starts(model), widths, draws, SPARE)
        except TooFewEffectiveDraws:
            return UNSETTLED
        return ClassFit(cols, settings, model, found, thermometer_steps_K=steps)


def class_model(
    cols: Columns,
    settings: ClassSettings,
    priors: Priors,
    thermometer_steps_K: tuple[float, ...] | None = None,
) -> ClassModel:
    """The model of the counted runs; there must be one."""
    theta = above_room(cols, settings)
    u_warming = _u_warming(cols, settings, thermometer_steps_K)
    typical_u = float(np.median(u_warming[cols.counted]))
    stacks = stacked(cols, np.zeros(len(cols.runs)) if theta is None else theta, u_warming)
    slopes = np.concatenate([np.median(stack.warming_K / stack.energy_J_per_kg, axis=1) for stack in stacks])
    energies = np.concatenate([stack.energy_J_per_kg.ravel() for stack in stacks])
    return ClassModel(
        stacks=stacks,
        # A class that shows no warming: what its thermometer could just not see.
        typical_slope=max(float(np.median(slopes)), typical_u / float(np.median(energies))),
        typical_per_mass=float(np.median(np.concatenate([stack.bench_per_mass for stack in stacks]))),
        u_warming_K=typical_u,
        with_leak=theta is not None,
        priors=priors,
    )


def _u_warming(cols: Columns, settings: ClassSettings, steps_K: tuple[float, ...] | None) -> Floats:
    """Of each run given, by its own thermometer's step (`app.physics.uncertainty`)."""
    if steps_K is None:
        return np.full(len(cols.runs), cols.u_warming)
    if len(steps_K) != len(cols.runs):
        raise ValueError("one thermometer step for each run")
    return np.maximum(warming_uncertainty(steps_K, settings.reading_sd_K), LEAST_U_WARMING_K)


def robust_starts(model: ClassModel) -> Floats:
    """Where the search for the mode starts: the repeated-median line of the benches' 1/slope on 1/m (A. F.
    Siegel, Biometrika 69 (1982) 242, from memory; scipy's `siegelslopes`) and usual values for the rest."""
    slope = np.concatenate([np.median(s.warming_K / s.energy_J_per_kg, axis=1) for s in model.stacks])
    per_mass = np.concatenate([stack.bench_per_mass for stack in model.stacks])
    warm = slope > 0.1 * model.typical_slope
    total, share = 1.0 / model.typical_slope, 0.3
    if np.ptp(per_mass[warm]) > 0.1 * model.typical_per_mass if warm.any() else False:
        line = siegelslopes(1.0 / slope[warm], per_mass[warm])
        at_typical = float(line.intercept + line.slope * model.typical_per_mass)
        if at_typical > 0.0:
            total = at_typical
            share = float(np.clip(line.slope * model.typical_per_mass / total, 0.05, 0.9))
    return np.stack([model.point(total, share, *scatter) for scatter in (_ALIKE, _SCATTERED)])
