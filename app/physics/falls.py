"""Falling water and other falls: how much a substance warms over a height, and what it takes to see it.

If all the fall energy stays in what falls, the warming is g·h/c whatever the mass. Real falls keep less
of it (air, spray, evaporation), so this is the most that could be seen.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from app.physics.energy import STANDARD_GRAVITY_M_PER_S2, specific_fall_energy
from app.physics.limits import HIGHEST_FALL_M, MOST_INVERSIONS
from app.physics.materials import CRC, MATERIALS, from_molar
from app.physics.rounding import short, whole
from app.words import N_, Message

SEEN_AT = 10
"""A warming counts as seen when it is ten steps of the thermometer (our own choice: u(w)/w is then 4 %)."""

_USUAL_STEPS_K = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001)
"""Steps that thermometers come with, from a kitchen's to a laboratory's (common practice, no source)."""

_HANDBOOK = "J. Carvill, Mechanical Engineer's Data Handbook (1993), 3.4.4"


@dataclass(frozen=True)
class Substance:
    """Something that can fall, with its specific heat capacity near room temperature."""

    key: str
    name: Message
    heat_capacity_J_per_kg_K: float
    source: str


@dataclass(frozen=True)
class FallWarming:
    """What one fall, or many, would do to a substance, and the thermometer that would see it.

    `thermometer_step_K` is the coarsest usual step of which the warming has ten; None where no usual
    thermometer does. `falls_for_thermometer` is how many falls a thermometer of the class's step needs.
    """

    substance: Substance
    fall_m: float
    falls: int
    warming_K: float
    thermometer_step_K: float | None
    u_warming_K: float
    falls_for_thermometer: int
    finding: Message


SUBSTANCES: Mapping[str, Substance] = MappingProxyType(
    {
        "water": Substance("water", Message(N_("Water")), *from_molar(75.3, 18.0153, CRC)),
        "mercury": Substance("mercury", Message(N_("Mercury")), *from_molar(28.0, 200.59, CRC)),
        "sand": Substance("sand", Message(N_("Dry sand")), 796.0, _HANDBOOK),
        "granite": Substance("granite", Message(N_("Granite")), 790.0, N_("about, from memory")),
        "ice": Substance("ice", Message(N_("Ice (below 0 °C)")), 2100.0, _HANDBOOK),
        **{
            key: Substance(key, metal.name, metal.accepted_J_per_kg_K, metal.accepted_source)
            for key, metal in MATERIALS.items()
        },
    }
)


def warming_over_fall(
    substance: Substance,
    fall_m: float,
    falls: int = 1,
    *,
    thermometer_step_K: float = 0.1,
    gravity_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2,
) -> FallWarming:
    """w = g·h·N / c, the most that the fall can warm the substance.

    A class's thermometer reads to 0.1 K (common practice, no source).
    Domain: 0 < h ≤ HIGHEST_FALL_M, 1 ≤ N ≤ MOST_INVERSIONS, c > 0, step > 0, all finite; else ValueError.
    """
    if not (0 < fall_m <= HIGHEST_FALL_M and 1 <= falls <= MOST_INVERSIONS):
        raise ValueError("the fall must be up to 10 000 m and the falls as many as a run's inversions")
    if not (math.isfinite(thermometer_step_K) and thermometer_step_K > 0 and gravity_m_per_s2 > 0):
        raise ValueError("the thermometer step and gravity must be positive")
    if not (math.isfinite(substance.heat_capacity_J_per_kg_K) and substance.heat_capacity_J_per_kg_K > 0):
        raise ValueError("the specific heat capacity must be positive")
    one_K = specific_fall_energy(fall_m, 1, gravity_m_per_s2) / substance.heat_capacity_J_per_kg_K
    warming_K = one_K * falls
    return FallWarming(
        substance=substance,
        fall_m=fall_m,
        falls=falls,
        warming_K=warming_K,
        thermometer_step_K=next((step for step in _USUAL_STEPS_K if warming_K >= SEEN_AT * step), None),
        u_warming_K=thermometer_step_K / math.sqrt(6),
        falls_for_thermometer=max(1, math.ceil(SEEN_AT * thermometer_step_K / one_K)),
        finding=_finding(warming_K, thermometer_step_K),
    )


def own_substance(heat_capacity_J_per_kg_K: float, source: str) -> Substance:
    """A substance with a specific heat capacity of one's own, for example the class's result."""
    return Substance("own", Message(N_("Your own value")), heat_capacity_J_per_kg_K, source)


def _finding(warming_K: float, step_K: float) -> Message:
    # Below ten, two digits: our own choice.
    warming = short(warming_K, 2) if warming_K < 10 else whole(warming_K)
    values = {"warming": warming, "step": short(step_K, 6)}
    if warming_K >= SEEN_AT * step_K:
        sentence = N_("At most %(warming)s K warmer: a thermometer with steps of %(step)s K sees it well.")
    elif warming_K >= step_K:
        sentence = N_("At most %(warming)s K warmer: a thermometer with steps of %(step)s K just sees it.")
    else:
        sentence = N_("At most %(warming)s K warmer: a thermometer with steps of %(step)s K cannot see it.")
    return Message(sentence, values)
