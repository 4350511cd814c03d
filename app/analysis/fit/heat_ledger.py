"""The heat ledger of this class: where the fall energy of its runs went, as shares of it, and a sentence.

For a run with the readings w, e, x = 1/m, N and θ = (T1 + T2)/2 − room:

    shot c_accepted·w/e,   sink C·x·w/e,   leak λ·x·N·θ/e,   unaccounted: 1 less the three

averaged over the runs of a bench that are like the others, each with that probability, and then over the
benches. What the shot holds is known from the warmings themselves, so that its uncertainty is the
thermometers' and the accepted value's, not the scatter of technique; energy that never reached the shot
(short falls) is in the unaccounted share.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np

from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import believed_masses_kg, mass_levels
from app.analysis.fit.shared import energy_factor, reading_factor
from app.analysis.results import HeatLedger
from app.physics.rounding import whole
from app.statistics.domain import Floats
from app.statistics.posterior import Draws
from app.words import N_, Message

_UNSAID = Message("")
_LEAST_SAID = 0.005
"""Half a percent: a smaller leak is written as 0 % (closed form: rounding)."""


@dataclass(frozen=True)
class Share:
    """A share of the fall energy (1 = all of it)."""

    value: float
    u: float


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
class Means:
    """Means over the class of w/e, x·w/e and x·N·θ/e, and the standard uncertainty of the first from the
    readings."""

    warming: float
    warming_per_mass: float
    leaking: float
    u_warming: float


def heat_ledger(fit: ClassFit, told_apart: bool) -> HeatLedger | None:
    """The class's ledger; None where no run is like the others or the figures are beyond any number.

    A share above 1, or below 0, is shown as it is, and the note says why it can happen.
    """
    shares = ledger_shares(fit, told_apart)
    if shares is None:
        return None
    shot, sink, leak = shares.shot, shares.sink, shares.leak
    in_sink = 0.0 if sink is None else sink.value
    if not isfinite(100.0 * (abs(shot.value) + abs(in_sink) + shot.u + shares.elsewhere.u)):
        return None
    ledger = HeatLedger(
        shot=shot.value,
        u_shot=shot.u,
        heat_sink=None if sink is None else sink.value,
        u_heat_sink=None if sink is None else sink.u,
        unaccounted=1.0 - shot.value - in_sink,
        u_unaccounted=shares.elsewhere.u,
        note=_UNSAID,
        heat_leak=None if leak is None else leak.value,
        u_heat_leak=None if leak is None else leak.u,
    )
    return ledger._replace(note=_note(ledger, mass_levels(believed_masses_kg(fit)) > 1))


def _note(ledger: HeatLedger, masses_differ: bool) -> Message:
    sink, rest, u_rest = ledger.heat_sink, ledger.unaccounted, ledger.u_unaccounted
    whole_shot, whole_sink, whole_rest = ledger.percents
    values = {
        "shot": str(whole_shot),
        "sink": str(whole_sink),
        "rest": str(abs(whole_rest)),
        "u": whole(max(1.0, 100 * u_rest)),
    }
    if whole_rest < 0 and -rest <= 2.0 * u_rest:
        return Message(
            N_(
                "The parts add up to more than the fall energy, by %(rest)s %% ± %(u)s %%: no more than the "
                "uncertainty of the readings allows."
            ),
            values,
        )
    if whole_rest < 0:
        return Message(
            N_(
                "The parts add up to %(rest)s %% more than the fall energy. Heat came from elsewhere (warm "
                "hands, a warm room) or a reading is off: turns not counted, a fall longer than measured, "
                "or another metal than assumed."
            ),
            values,
        )
    if sink is None and masses_differ:
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy. The other %(rest)s %% went into the tube, "
                "caps and thermometer and to the room; these readings do not tell the two apart, though the "
                "benches' masses differ."
            ),
            values,
        )
    if sink is None:
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy. The other %(rest)s %% went into the tube, "
                "caps and thermometer and to the room; with benches of different masses the class could "
                "tell these apart."
            ),
            values,
        )
    if ledger.heat_leak is not None and ledger.heat_leak >= _LEAST_SAID:
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy, the tube, caps and thermometer took %(sink)s "
                "%%, and %(rest)s %% ± %(u)s %% went elsewhere: about %(leak)s %% leaked to the room."
            ),
            {**values, "leak": whole(100.0 * ledger.heat_leak)},
        )
    return Message(
        N_(
            "The shot kept %(shot)s %% of the fall energy, the tube, caps and thermometer took %(sink)s "
            "%%, and %(rest)s %% ± %(u)s %% is unaccounted for."
        ),
        values,
    )


def ledger_shares(fit: ClassFit, told_apart: bool) -> LedgerShares | None:
    """The shares, or None where no run is like the others."""
    means = means_like_the_others(fit)
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
    return Share(draws.median(values), draws.sd(values))


def means_like_the_others(fit: ClassFit) -> Means | None:
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
    return Means(warming, per_mass, leaking, u_warming)
