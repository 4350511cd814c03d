"""What a tube does that is warmer or colder than the shot poured into it.

The heat that one gives up the other takes (first law: with nothing else around, the energy of both together
stays), so both come to one temperature. Until then the shot's reading goes on changing. Plain floats or
arrays, SI (temperatures in °C).
"""

from __future__ import annotations

from app.physics.energy import OneOrEach


def at_one_temperature(
    shot_C: OneOrEach, shot_J_per_K: OneOrEach, tube_C: OneOrEach, tube_J_per_K: OneOrEach
) -> OneOrEach:
    """(K·T_shot + C·T_tube) / (K + C) in °C: from K·(T − T_shot) = C·(T_tube − T), K = m·c.

    Domain: K ≥ 0, C ≥ 0, not both zero.
    """
    return (shot_J_per_K * shot_C + tube_J_per_K * tube_C) / (shot_J_per_K + tube_J_per_K)


def warming_by_tube(
    tube_above_shot_K: OneOrEach, shot_J_per_K: OneOrEach, tube_J_per_K: OneOrEach
) -> OneOrEach:
    """C·d / (m·c + C) in kelvin: what a tube d warmer than the shot adds to a warming that is counted from
    the shot's own start; below zero for a colder tube. It comes on top of what the falls give."""
    return tube_J_per_K * tube_above_shot_K / (shot_J_per_K + tube_J_per_K)
