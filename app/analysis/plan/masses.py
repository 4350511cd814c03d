"""The masses that a proposal may deal out: as far apart as tubes and stock allow, and others to compare.

All are in kg and in tube order; the heavier ones go into the tubes that hold most.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import inf

import numpy as np

from app.analysis.fit.design import LEAST_BENCHES
from app.analysis.plan.kit import Kit
from app.analysis.plan.kit_limits import MassLimits, enough_shot, to_step

_LEAST_RATIO = 1.2
"""Nearer masses are not tried (our own choice)."""
_LEAST_BENCHES_A_MASS = 2
_MOST_SPLITS = 16
"""So many are tried of each pair of masses at most: the optimum is flat (our own choice)."""


def candidates(kit: Kit, limits: MassLimits) -> Iterator[tuple[str, list[float]]]:
    """Splits of the benches over two or three masses, at least two benches a mass."""
    order = _from_roomiest(kit)
    lows, highs = ({end[i] for end in limits.each} for i in (0, 1))
    lights = sorted({to_step(low * (1 + 0.25 * i), up=True) for low in lows for i in range(4)})
    heavies = sorted({to_step(high * share) for high in highs for share in (1.0, 0.85, 0.7, 0.55)})
    splits = range(
        _LEAST_BENCHES_A_MASS, kit.benches - _LEAST_BENCHES_A_MASS + 1, 1 + kit.benches // _MOST_SPLITS
    )
    for most, light in product(reversed(heavies), lights):
        for n_light in splits:
            for n_middle in (0, 2, 3):
                n_heavy = kit.benches - n_light - n_middle
                if n_heavy < _LEAST_BENCHES_A_MASS:
                    continue
                heavy = min(most, _heaviest(kit, light, n_light + n_middle, n_heavy))
                if heavy < _LEAST_RATIO * light:
                    continue
                middle = to_step(2 / (1 / light + 1 / heavy))
                dealt = [heavy] * n_heavy + [middle] * n_middle + [light] * n_light
                yield "three" if n_middle else "extremes", _in_tube_order(order, dealt)


def _heaviest(kit: Kit, light_kg: float, n_light: int, n_heavy: int) -> float:
    """What the shot allows each of the heavy benches, once the others have theirs."""
    if kit.shot_available_kg is None:
        return inf
    return to_step(max((kit.shot_available_kg - n_light * light_kg) / n_heavy, 0.0))


def _from_roomiest(kit: Kit) -> list[int]:
    """Tube positions, the one that takes most shot first."""
    return sorted(range(kit.benches), key=lambda i: -(kit.brimful_kg(kit.tubes[i]) or 0.0))


def _in_tube_order(order: Sequence[int], dealt: Sequence[float]) -> list[float]:
    masses = [0.0] * len(order)
    for position, mass in zip(order, dealt, strict=True):
        masses[position] = mass
    return masses


def even_masses(kit: Kit, limits: MassLimits) -> list[float] | None:
    """Four even steps from the lightest to the heaviest, dealt in turn; None where the shot is too little."""
    if kit.benches < LEAST_BENCHES:
        return None
    steps = np.linspace(limits.low, limits.high, 4).tolist()
    masses = limits.clamped([to_step(steps[i % 4]) for i in range(kit.benches)])
    return masses if enough_shot(kit, masses) else None


def same_mass(kit: Kit, limits: MassLimits) -> list[float]:
    """The heaviest mass that everybody can have: it reads least high."""
    most = min(high for _, high in limits.each)
    if kit.shot_available_kg is not None:
        most = min(most, kit.shot_available_kg / kit.benches)
    return [to_step(most)] * kit.benches
