"""What a tube does that is warmer or colder than the shot poured into it.

The heat that one gives up the other takes (first law: with nothing else around, the energy of both together
stays), so both come to one temperature. Until then the shot's reading goes on changing. Plain floats or
arrays, SI (temperatures in °C).
"""

from __future__ import annotations

from app.physics.energy import OneOrEach


def warming_by_tube(
    tube_above_shot_K: OneOrEach, shot_J_per_K: OneOrEach, tube_J_per_K: OneOrEach
) -> OneOrEach:
    """C·d / (m·c + C) in kelvin: by how much a tube d warmer than the shot warms it until both have one
    temperature, T: from m·c·(T − T_shot) = C·(T_tube − T). Below zero for a colder tube.

    It comes on top of what the falls give where a warming is counted from the shot's own start. Domain:
    m·c ≥ 0, C ≥ 0, not both zero.
    """
    return tube_J_per_K * tube_above_shot_K / (shot_J_per_K + tube_J_per_K)
