"""One end allowance planned for masses that differ: what it will do to the specific heat capacity.

More shot lies deeper and falls less far. Where the allowance leaves that out, each bench's c* is too high by
its depth over its fall, the heavy ones' more, and the fit's specific heat follows as its linear model says.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.analysis.fit.allowance import (
    MOST_FILLED,
    OneAllowance,
    depths_left_out,
    most_used_allowance,
    too_high,
    u_of_shift,
)
from app.analysis.fit.design import mass_levels
from app.analysis.fit.linear import Linear
from app.analysis.plan.kit import Kit
from app.analysis.plan.width import Bench
from app.words import N_

PLANNED_TOO_HIGH = N_(
    "The benches are planned with one end allowance (%(length)s cm) for %(low)s to %(high)s g of shot. "
    "More shot fills more of the tube and falls less far. If the allowance leaves out the shot, the "
    "specific heat capacity comes out about %(wide)s %% too high in tubes of 50 mm bore and "
    "%(narrow)s %% in tubes of 30 mm. Let each bench measure the depth of its settled shot, or "
    "type the tubes' bore."
)


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
    found = []
    for depth_m in depths_left_out(np.where(same, mass, 0.0), kit.density_kg_per_m3):
        lost_m = np.minimum(depth_m, MOST_FILLED * fall_m)
        found.append(float(answer.pull @ (lost_m / (fall_m - lost_m))) / kit.c)
    wide, narrow = found
    return OneAllowance(
        in_wide_bores=wide,
        in_narrow_bores=narrow,
        standard_uncertainty_J_per_kg_K=u_of_shift(narrow * kit.c),
        warning=too_high(PLANNED_TOO_HIGH, allowance_m[same], mass[same], wide, narrow),
    )
