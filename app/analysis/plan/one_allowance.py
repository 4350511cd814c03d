"""One end allowance planned for masses that differ: what it will do to the specific heat capacity.

More shot lies deeper and falls less far. Where the allowance leaves that out, each bench's c* is too high by
its depth over its fall, the heavy ones' more, and the fit's specific heat follows as its linear model says.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np

from app.analysis.fit.allowance import (
    MOST_FILLED,
    NARROW_BORE_M,
    WIDE_BORE_M,
    OneAllowance,
    most_used_allowance,
)
from app.analysis.fit.design import mass_levels
from app.analysis.fit.linear import Linear
from app.analysis.plan.kit import Kit
from app.analysis.plan.width import Bench
from app.physics.energy import settled_depth
from app.physics.rounding import one_decimal, whole
from app.words import N_, Message


def planned_with_one_allowance(
    kit: Kit, benches: Sequence[Bench], allowances_m: Sequence[float], answer: Linear
) -> OneAllowance | None:
    """The warning with its figures; None where each bench measures its depth, where the allowances differ, as
    settled shot does, or where the masses do not. `answer` is the specific heat's to errors of the
    benches."""
    mass = np.array([bench.shot_mass_kg for bench in benches])
    fall_m = np.array([bench.fall_m for bench in benches])
    allowance_m = np.array(allowances_m)
    same = most_used_allowance(allowance_m, np.ones(len(benches), dtype=bool))
    if kit.depth_measured or same is None or mass_levels(mass[same]) == 1:
        return None
    too_high = []
    for bore_m in (WIDE_BORE_M, NARROW_BORE_M):
        depth_m = settled_depth(1.0, bore_m, kit.density_kg_per_m3) * np.where(same, mass, 0.0)
        depth_m = np.minimum(depth_m, MOST_FILLED * fall_m)
        too_high.append(float(answer.pull @ (depth_m / (fall_m - depth_m))) / kit.c)
    wide, narrow = too_high
    sentence = N_(
        "The benches are planned with one end allowance (%(length)s cm) for %(low)s to %(high)s g of shot. "
        "More shot fills more of the tube and falls less far. If the allowance leaves out the shot, the "
        "specific heat capacity comes out about %(wide)s %% too high in tubes of 50 mm bore and "
        "%(narrow)s %% in tubes of 30 mm. Let each bench measure the depth of its settled shot, or "
        "type the tubes' bore."
    )
    values = {
        "length": one_decimal(100.0 * float(np.median(allowance_m[same]))),
        "low": whole(1e3 * float(mass[same].min())),
        "high": whole(1e3 * float(mass[same].max())),
        "wide": whole(100.0 * wide),
        "narrow": whole(100.0 * narrow),
    }
    return OneAllowance(wide, narrow, abs(narrow) * kit.c / sqrt(3.0), Message(sentence, values))
