"""The heat ledger of this class: where the fall energy of its runs went, as shares of it.

For a run with the readings w, e, x = 1/m, N and θ = (T1 + T2)/2 − room:

    shot c_accepted·w/e,   sink C·x·w/e,   leak λ·x·N·θ/e,   unaccounted: 1 less the three

averaged over the runs of a bench that are like the others, each with that probability, and then over the
benches. What the shot holds is known from the warmings themselves, so that its uncertainty is the
thermometers' and the accepted value's, not the scatter of technique; energy that never reached the shot
(short falls) is in the unaccounted share.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.analysis.columns import Floats
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.shared import energy_factor, reading_factor
from app.analysis.results import Interval
from app.statistics.posterior import Draws


@dataclass(frozen=True)
class Share:
    """A share of the fall energy (1 = all of it)."""

    value: float
    u: float
    interval_95: Interval


@dataclass(frozen=True)
class LedgerShares:
    """`sink` is None where shot and sink are not told apart, `leak` where no room temperature is known; then
    they are in the unaccounted share. `elsewhere` is what is in neither shot nor sink: leak and
    unaccounted."""

    shot: Share
    sink: Share | None
    leak: Share | None
    elsewhere: Share
    unaccounted: Share


@dataclass(frozen=True)
class MeansOfLikes:
    """Means over the class of w/e, x·w/e and x·N·θ/e, and the standard uncertainty of the first from the
    readings."""

    warming: float
    warming_per_mass: float
    leaking: float
    u_warming: float


def ledger_shares(fit: ClassFit, told_apart: bool) -> LedgerShares | None:
    """The shares, or None where no run is like the others."""
    means = means_of_likes(fit)
    if means is None:
        return None
    settings, spare = fit.settings, fit.draws.spare
    accepted = settings.accepted_J_per_kg_K + settings.u_accepted_J_per_kg_K * spare[:, 2]
    warming = means.warming + means.u_warming * spare[:, 3]
    energy = energy_factor(fit)
    shot = accepted * warming * reading_factor(fit)
    rest = 1.0 - shot
    sink = leak = None
    if told_apart:
        sink = fit.values.heat_sink * (means.warming_per_mass / means.warming) * warming * energy
        rest = rest - sink
    elsewhere = rest
    if told_apart and fit.model.with_leak:
        leak = fit.values.leak * means.leaking * energy
        rest = rest - leak
    return LedgerShares(
        _share(fit.draws, shot),
        None if sink is None else _share(fit.draws, sink),
        None if leak is None else _share(fit.draws, leak),
        _share(fit.draws, elsewhere),
        _share(fit.draws, rest),
    )


def _share(draws: Draws, values: Floats) -> Share:
    return Share(draws.median(values), draws.sd(values), draws.interval_95(values))


def means_of_likes(fit: ClassFit) -> MeansOfLikes | None:
    """Over each bench's runs, each with its probability of being like the others, and then over the benches;
    None where no run is like the others, or they do not warm."""
    rows, variances, weights = [], [], []
    for stack, mean in zip(fit.stacks, fit.case_probabilities, strict=True):
        like_others = mean.sum(axis=2) @ stack.alike
        total = np.maximum(like_others.sum(axis=1), 1e-12)
        slope = stack.warming_K / stack.energy_J_per_kg
        theta = stack.start_above_room_K + 0.5 * stack.warming_K
        leaking = stack.per_mass * stack.inversions * theta / stack.energy_J_per_kg
        each = np.stack((slope, slope * stack.per_mass, leaking))
        rows.append((each * like_others).sum(axis=2) / total)
        error = stack.u_warming_K / stack.energy_J_per_kg
        variances.append((np.square(like_others * error)).sum(axis=1) / total**2)
        weights.append(np.minimum(total, 1.0))
    weight = np.concatenate(weights)
    if weight.sum() < 0.5:  # our own choice
        return None
    share = weight / weight.sum()
    warming, per_mass, leaking = (np.concatenate(rows, axis=1) @ share).tolist()
    if not warming > 0.0:
        return None
    u_warming = float(np.sqrt(np.square(share) @ np.concatenate(variances)))
    return MeansOfLikes(warming, per_mass, leaking, u_warming)
