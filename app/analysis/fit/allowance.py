"""One end allowance for all: what the settled shot may do to a class whose benches typed the same length.

More shot lies deeper in the tube and falls less far. Where benches of different masses have one and the same
allowance, their falls are wrong by what their depths differ, and the specific heat comes out too high: with
0.24 to 0.88 kg of lead by a tenth in bores of 50 mm and by a third and more in bores of 30 mm. Nothing in the
readings shows it, because a line in 1/m fits them as well. What can be said is how far the result may be off,
if the allowance counts the caps and leaves out the shot; the linear model says so for the class's own masses.
It is a warning and a line of the budget. It is not in the interval: its direction is known, and measuring the
depths takes it away.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from app.analysis.columns import Flags
from app.analysis.fit.at_medians import AtMedians, at_medians
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import mass_levels
from app.analysis.results import ODD_FROM
from app.physics.energy import settled_depth
from app.physics.materials import MATERIALS
from app.physics.rounding import one_decimal, whole
from app.statistics.domain import Floats
from app.words import N_, Message

WIDE_BORE_M, NARROW_BORE_M = 0.05, 0.03
"""Of the tubes that schools have (common practice, no source)."""
OF_UNKNOWN_METAL = "steel"  # our own choice
"""Whose density stands for that of a metal which is not in the table."""
SAME_WITHIN_M = 0.0005  # our own choice
"""Allowances are typed in millimetres."""
LEAST_LEFT = 0.2  # our own choice
"""At least this share of the figure is left when the fault is taken out, in the linear model."""
MOST_FILLED = 0.5  # our own choice
"""A tube fuller than this would be seen."""
ONE_FOR_ALL = 2 / 3  # our own choice
"""More than this share of the benches have one allowance: some may agree by chance."""


@dataclass(frozen=True)
class OneAllowance:
    """How much higher than without this fault the figure may be (1: twice as high), in wide and in narrow
    bores; its standard uncertainty from that; the sentence for the class."""

    in_wide_bores: float
    in_narrow_bores: float
    standard_uncertainty_J_per_kg_K: float
    warning: Message


def one_allowance(
    fit: ClassFit, of_specific_heat: bool, figure: AtMedians | None = None
) -> OneAllowance | None:
    """What it may do to the specific heat, or else to the class value; None where the allowances differ, as
    settled shot does, or the masses do not. `figure` saves working it out twice."""
    figure = at_medians(fit, of_specific_heat) if figure is None else figure
    cols = fit.columns
    of_bench = [np.flatnonzero(cols.counted & (cols.bench_of == bench)) for bench in figure.benches]
    mass, fall_m, allowance_m = (
        np.array([float(np.median(values[runs])) for runs in of_bench])
        for values in (cols.mass, cols.fall, cols.allowance)
    )
    weights = np.bincount(figure.plan.bench, figure.plan.weight) / np.bincount(figure.plan.bench)
    believed = weights > 1.0 - ODD_FROM
    if not believed.any():
        return None
    same = most_used_allowance(allowance_m, believed)
    if same is None or mass_levels(mass[same]) == 1:
        return None
    metal = MATERIALS.get(fit.settings.material.lower(), MATERIALS[OF_UNKNOWN_METAL])
    wide, narrow = (
        float(figure.answer.pull @ np.minimum(depth_m / fall_m, MOST_FILLED))
        for depth_m in depths_left_out(np.where(same, mass, 0.0), metal.density_kg_per_m3)
    )
    in_wide, in_narrow = (
        shift / max(figure.middle - shift, LEAST_LEFT * figure.middle) for shift in (wide, narrow)
    )
    return OneAllowance(
        in_wide_bores=in_wide,
        in_narrow_bores=in_narrow,
        standard_uncertainty_J_per_kg_K=u_of_shift(narrow),
        warning=too_high(
            SPECIFIC_HEAT_TOO_HIGH if of_specific_heat else CLASS_VALUE_TOO_HIGH,
            allowance_m[same],
            mass[same],
            abs(in_wide),
            abs(in_narrow),
        ),
    )


def depths_left_out(mass_kg: Floats, density_kg_per_m3: float) -> tuple[Floats, Floats]:
    """How deep so much shot lies in wide and in narrow bores, in metres."""
    wide, narrow = (settled_depth(1.0, bore_m, density_kg_per_m3) for bore_m in (WIDE_BORE_M, NARROW_BORE_M))
    return wide * mass_kg, narrow * mass_kg


def u_of_shift(narrow: float) -> float:
    """The standard uncertainty of a figure that narrow bores shift by so much: anything from nothing to the
    whole shift may be missing, a rectangle about nothing (JCGM 100:2008, 4.3.7)."""
    return abs(narrow) / sqrt(3.0)


def too_high(sentence: str, allowance_m: Floats, mass_kg: Floats, wide: float, narrow: float) -> Message:
    """The warning about benches with these allowances and masses; `wide` and `narrow` are shares."""
    values = {
        "length": one_decimal(100.0 * float(np.median(allowance_m))),
        "low": whole(1e3 * float(mass_kg.min())),
        "high": whole(1e3 * float(mass_kg.max())),
        "wide": whole(100.0 * wide),
        "narrow": whole(100.0 * narrow),
    }
    return Message(sentence, values)


def most_used_allowance(allowance_m: Floats, of: Flags) -> Flags | None:
    """Which of these benches have the one allowance that most of them have; None where too few do."""
    same = of & (np.abs(allowance_m - float(np.median(allowance_m[of]))) <= SAME_WITHIN_M)
    return same if same.sum() > ONE_FOR_ALL * of.sum() else None


SPECIFIC_HEAT_TOO_HIGH = N_(
    "The benches took the same end allowance (%(length)s cm) for %(low)s to %(high)s g of shot. More shot "
    "fills more of the tube and falls less far. If the allowance leaves out the shot, the specific heat "
    "capacity is about %(wide)s %% too high in tubes of 50 mm bore and %(narrow)s %% in tubes of 30 mm, "
    "and the interval does not say so. Measure how deep each bench's shot lies in the upright tube."
)
CLASS_VALUE_TOO_HIGH = N_(
    "The benches took the same end allowance (%(length)s cm) for %(low)s to %(high)s g of shot. More shot "
    "fills more of the tube and falls less far. If the allowance leaves out the shot, the class value is "
    "about %(wide)s %% too high in tubes of 50 mm bore and %(narrow)s %% in tubes of 30 mm, and the interval "
    "does not say so. Measure how deep each bench's shot lies in the upright tube."
)
