"""The energy balance of one run: fall, fall energy, warming and what follows from them.

Symbols of the trade: L tube length, a end allowance, h = L − a fall, N inversions, e = g·h·N specific
fall energy, w warming, c specific heat capacity, C heat sink. Every function takes and gives plain floats
in SI units (temperatures in °C) and does no rounding; the first three take arrays of runs just as well.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeVar, Union

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

OneOrEach = TypeVar("OneOrEach", float, "NDArray[np.float64]")
"""One run's number, or one for each run."""
Numbers = Union[float, "NDArray[np.float64]"]
"""Of any shapes that broadcast."""

STANDARD_GRAVITY_M_PER_S2 = 9.80665
"""Standard acceleration of free fall (3rd CGPM, 1901; ISO 80000-3)."""

PACKING_FRACTION = 0.6
"""Share of the volume that poured round shot fills; about 0.6, from memory (random loose packing)."""


def fall(tube_length_m: OneOrEach, end_allowance_m: OneOrEach) -> OneOrEach:
    """h = L − a in metres. Not positive when the allowance swallows the tube: the caller says so."""
    return tube_length_m - end_allowance_m


def specific_fall_energy(
    fall_m: OneOrEach, inversions: OneOrEach, gravity_m_per_s2: OneOrEach | float = STANDARD_GRAVITY_M_PER_S2
) -> OneOrEach:
    """e = g·h·N in J/kg: the energy that each kilogram of shot gains from N falls."""
    return gravity_m_per_s2 * fall_m * inversions


def warming(start_temperature_C: OneOrEach, end_temperature_C: OneOrEach) -> OneOrEach:
    """w = T₂ − T₁ in kelvin; may be zero or negative as read."""
    return end_temperature_C - start_temperature_C


def apparent_heat_capacity(specific_energy_J_per_kg: float, warming_K: float) -> float | None:
    """c* = e / w in J/(kg·K); None where w ≤ 0, because no specific heat capacity follows from it.

    Mass cancels here and only here. With a heat sink C the balance m·e = (m·c + C)·w makes c* = c + C/m.
    """
    if not warming_K > 0:
        return None
    value = specific_energy_J_per_kg / warming_K
    return value if math.isfinite(value) else None


def expected_warming(
    specific_energy_J_per_kg: float,
    shot_mass_kg: float,
    heat_capacity_J_per_kg_K: float,
    heat_sink_J_per_K: float = 0.0,
) -> float:
    """w = m·e / (m·c + C) in kelvin, with no heat leak.

    Domain: m > 0, c > 0, C ≥ 0; ValueError otherwise.
    """
    if not (shot_mass_kg > 0 and heat_capacity_J_per_kg_K > 0 and heat_sink_J_per_K >= 0):
        raise ValueError("mass and specific heat capacity must be positive and the heat sink not negative")
    return specific_energy_J_per_kg / (heat_capacity_J_per_kg_K + heat_sink_J_per_K / shot_mass_kg)


def warming_with_leak(
    specific_energy_J_per_kg: Numbers,
    per_mass_per_kg: Numbers,
    inversions: Numbers,
    start_above_room_K: Numbers,
    heat_capacity_J_per_kg_K: Numbers,
    heat_sink_J_per_K: Numbers,
    leak_J_per_K_per_inversion: Numbers,
) -> tuple[Numbers, Numbers]:
    """(q, w): what one kelvin takes of each kilogram's energy, and the warming in kelvin, x = 1/m.

    q = c + C·x + λ·x·N/2 and w = (e − λ·x·N·θ₀)/q: the shot leaks λ·N times its mean excess over the room,
    θ₀ + w/2 (Newton's law of cooling, with the mean taken as that of start and end). Arrays broadcast.
    """
    lost = leak_J_per_K_per_inversion * (per_mass_per_kg * inversions)
    through = heat_capacity_J_per_kg_K + heat_sink_J_per_K * per_mass_per_kg + 0.5 * lost
    return through, (specific_energy_J_per_kg - lost * start_above_room_K) / through


def warming_by_tube(
    tube_above_shot_K: OneOrEach, shot_J_per_K: OneOrEach, tube_J_per_K: OneOrEach
) -> OneOrEach:
    """C·d / (m·c + C) in kelvin: by how much a tube d warmer than the shot warms it until both have one
    temperature, T: from m·c·(T − T_shot) = C·(T_tube − T). Below zero for a colder tube.

    The heat that one gives up the other takes (first law), and the shot's reading changes until then. It
    comes on top of what the falls give where a warming is counted from the shot's own start. Domain: m·c ≥ 0,
    C ≥ 0, not both zero.
    """
    return tube_J_per_K * tube_above_shot_K / (shot_J_per_K + tube_J_per_K)


def settled_depth(
    shot_mass_kg: float,
    bore_m: float,
    density_kg_per_m3: float,
    packing_fraction: float = PACKING_FRACTION,
) -> float:
    """Depth of the settled shot, m / (ρ_bulk·π·d²/4) with ρ_bulk = packing fraction × density, in metres.

    The shot's centre of mass drops from half a depth below one cap to half a depth above the other, so the
    whole depth is lost to the fall. Domain: all positive, packing fraction at most 1; ValueError otherwise.
    """
    if not (shot_mass_kg > 0 and bore_m > 0 and density_kg_per_m3 > 0 and 0 < packing_fraction <= 1):
        raise ValueError("mass, bore and density must be positive and the packing fraction in (0, 1]")
    area_m2 = math.pi * bore_m * bore_m / 4
    return shot_mass_kg / (packing_fraction * density_kg_per_m3 * area_m2)


def mass_the_tube_holds(free_length_m: float, bore_m: float, density_kg_per_m3: float) -> float:
    """Shot in kilograms that fills a tube to the brim (and so has no fall left).

    Domain: as `settled_depth`; ValueError otherwise.
    """
    return free_length_m / settled_depth(1.0, bore_m, density_kg_per_m3)


def start_below_room(expected_warming_K: float) -> float:
    """How far below room temperature to start, in kelvin: half the expected warming.

    The heat that leaks in before the middle of the run then balances what leaks out after it
    (common practice, no source).
    """
    return expected_warming_K / 2
