"""A run worked out for the guide with the functions that work out everybody's."""

from __future__ import annotations

from dataclasses import dataclass

from app.physics.energy import (
    STANDARD_GRAVITY_M_PER_S2,
    apparent_heat_capacity,
    expected_warming,
    fall,
    settled_depth,
    specific_fall_energy,
)
from app.physics.materials import MATERIALS
from app.physics.rounding import one_decimal, short, whole

LENGTH_M, CAPS_M, BORE_M, MASS_KG, INVERSIONS, SINK_J_PER_K = 1.0, 0.02, 0.04, 0.5, 60, 45.0
"""A tube and a heat sink of the usual size (our own choice)."""


@dataclass(frozen=True)
class Example:
    """A made-up bench with lead, its numbers as text; the ones with `light` are for half the shot."""

    mass: str
    light_mass: str
    depth: str
    fall: str
    inversions: str
    energy: str
    warming_alone: str
    warming: str
    sink: str
    accepted: str
    apparent: str
    light_apparent: str


def example() -> Example:
    """Its energy balance, without a leak: the warming that the shot alone would show, and what it shows."""
    lead = MATERIALS["lead"]
    c = lead.accepted_J_per_kg_K
    depth_m = settled_depth(MASS_KG, BORE_M, lead.density_kg_per_m3)
    fall_m = fall(LENGTH_M, CAPS_M + depth_m)
    energy = specific_fall_energy(fall_m, INVERSIONS, STANDARD_GRAVITY_M_PER_S2)

    def reads(mass_kg: float) -> str:
        warmed = expected_warming(energy, mass_kg, c, SINK_J_PER_K)
        return whole(apparent_heat_capacity(energy, warmed) or 0.0)

    return Example(
        mass=whole(1000 * MASS_KG),
        light_mass=whole(500 * MASS_KG),
        depth=one_decimal(100 * depth_m),
        fall=short(fall_m, 3),
        inversions=str(INVERSIONS),
        energy=whole(energy),
        warming_alone=one_decimal(expected_warming(energy, MASS_KG, c)),
        warming=one_decimal(expected_warming(energy, MASS_KG, c, SINK_J_PER_K)),
        sink=whole(SINK_J_PER_K),
        accepted=whole(c),
        apparent=reads(MASS_KG),
        light_apparent=reads(MASS_KG / 2),
    )
