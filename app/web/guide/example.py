"""A run worked out for the guide with the functions that work out everybody's."""

from __future__ import annotations

from collections.abc import Mapping

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


def example() -> Mapping[str, str]:
    """The energy balance of a made-up bench with lead, without a leak; `light` stands for half the shot."""
    lead = MATERIALS["lead"]
    c = lead.accepted_J_per_kg_K
    depth_m = settled_depth(MASS_KG, BORE_M, lead.density_kg_per_m3)
    fall_m = fall(LENGTH_M, CAPS_M + depth_m)
    energy = specific_fall_energy(fall_m, INVERSIONS, STANDARD_GRAVITY_M_PER_S2)

    def reads(mass_kg: float) -> str:
        warmed = expected_warming(energy, mass_kg, c, SINK_J_PER_K)
        return whole(apparent_heat_capacity(energy, warmed) or 0.0)

    return {
        "mass": whole(1000 * MASS_KG),
        "light_mass": whole(500 * MASS_KG),
        "fall": short(fall_m, 3),
        "inversions": str(INVERSIONS),
        "energy": whole(energy),
        "warming_alone": one_decimal(expected_warming(energy, MASS_KG, c)),
        "warming": one_decimal(expected_warming(energy, MASS_KG, c, SINK_J_PER_K)),
        "sink": whole(SINK_J_PER_K),
        "accepted": whole(c),
        "apparent": reads(MASS_KG),
        "light_apparent": reads(MASS_KG / 2),
    }
