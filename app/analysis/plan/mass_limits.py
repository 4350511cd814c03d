"""The masses that the kit allows, tube by tube, and how they are rounded for a balance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from app.analysis.plan.kit import ImpossiblePlan, Kit
from app.physics.rounding import short, whole
from app.words import N_, Message

MASS_STEP_KG = 0.01
"""Masses are proposed in whole tens of grams, which a class weighs out quickly (our own choice)."""


@dataclass(frozen=True)
class MassLimits:
    """The masses worth proposing, tube by tube, in kg."""

    each: tuple[tuple[float, float], ...]

    @property
    def low(self) -> float:
        return min(low for low, _ in self.each)

    @property
    def high(self) -> float:
        return max(high for _, high in self.each)

    def fit(self, masses: Sequence[float]) -> bool:
        """Whether every mass is worth proposing for its tube."""
        pairs = zip(masses, self.each, strict=True)
        return all(low - 1e-9 <= mass <= high + 1e-9 for mass, (low, high) in pairs)

    def held(self, masses: Sequence[float]) -> list[float]:
        """Each mass moved into the limits of its tube."""
        pairs = zip(masses, self.each, strict=True)
        return [min(max(mass, to_step(low, up=True)), to_step(high)) for mass, (low, high) in pairs]


def mass_limits(kit: Kit) -> MassLimits:
    """Raises ImpossiblePlan where a tube allows no mass, or the shot is not enough for all benches."""
    limits = MassLimits(tuple(kit.mass_limits_kg(tube) for tube in kit.tubes))
    for number, (low, high) in enumerate(limits.each, 1):
        if low > high:
            sentence = N_(
                "No mass fits tube %(number)s: the shot must cover the thermometer's bulb (about %(low)s "
                "g) "
                "and fill at most a quarter of the tube (about %(high)s g)."
            )
            values = {"number": str(number), "low": whole(low * 1000), "high": whole(high * 1000)}
            raise ImpossiblePlan("tubes", Message(sentence, values))
    needed = sum(low for low, _ in limits.each)
    if kit.shot_available_kg is not None and kit.shot_available_kg < needed:
        sentence = N_(
            "%(have)s kg of shot is not enough: each bench needs about %(each)s g (benches: %(benches)s). "
            "Plan fewer benches or find more shot."
        )
        values = {
            "have": short(kit.shot_available_kg, 6),
            "benches": str(kit.benches),
            "each": whole(needed / kit.benches * 1000),
        }
        raise ImpossiblePlan("shot_available_kg", Message(sentence, values))
    return limits


def enough_shot(kit: Kit, masses: Sequence[float]) -> bool:
    """Whether there is shot for all benches at once."""
    return kit.shot_available_kg is None or sum(masses) <= kit.shot_available_kg + 1e-9


def to_step(mass_kg: float, *, up: bool = False) -> float:
    """To whole tens of grams, never out of the limits: down, or up from the lower limit."""
    tens = mass_kg / MASS_STEP_KG
    whole = ceil(tens - 1e-9) if up else floor(tens + 1e-9)
    return round(max(1, whole) * MASS_STEP_KG, 3)
