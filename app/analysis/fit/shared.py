"""What all benches share, and pooling therefore does not reduce: relative standard uncertainties.

They are added to the draws, not to the intervals: each draw of a heat capacity is multiplied by
exp(u_energy·z₂ − u_scale·z₁) with its own spare normal numbers z, so that every figure of the class has them,
with the correlations between figures that they cause. u_energy² is the sum of the squares of technique, fall
and gravity.
"""

from __future__ import annotations

from math import hypot

import numpy as np

from app.analysis.fit.class_fit import ClassFit
from app.analysis.readings import ClassSettings
from app.statistics.domain import Floats

THERMOMETER_SCALE = "thermometer-scale"
COMMON_TECHNIQUE = "common-technique"
FALL_LENGTH = "fall-length"
GRAVITY = "gravity"


def shared_uncertainties(fit: ClassFit) -> dict[str, float]:
    """Relative standard uncertainty of each source that the class's benches share."""
    return shared_lines(fit.settings, fit.columns.fall[fit.columns.counted])


def shared_lines(settings: ClassSettings, falls_m: Floats) -> dict[str, float]:
    """The same for these falls, of a class or of a plan; the fall's is the length's over the median fall."""
    fall_m = float(np.median(falls_m))
    return {
        THERMOMETER_SCALE: settings.thermometer_scale,
        COMMON_TECHNIQUE: settings.common_technique,
        FALL_LENGTH: settings.length_sd_m / fall_m,
        GRAVITY: settings.u_gravity_m_per_s2 / settings.gravity_m_per_s2,
    }


def shared_factor(fit: ClassFit) -> Floats:
    """What each draw's heat capacities are multiplied by; shape (draws,), always positive."""
    return np.asarray(energy_factor(fit) / reading_factor(fit))


def energy_factor(fit: ClassFit) -> Floats:
    """What each draw's energies are multiplied by: technique common to all, fall and gravity."""
    lines = shared_uncertainties(fit)
    u_energy = hypot(lines[COMMON_TECHNIQUE], lines[FALL_LENGTH], lines[GRAVITY])
    return np.asarray(np.exp(u_energy * fit.draws.spare[:, 1]))


def reading_factor(fit: ClassFit) -> Floats:
    """What each draw's warmings are multiplied by: the thermometers' scale."""
    return np.asarray(np.exp(shared_uncertainties(fit)[THERMOMETER_SCALE] * fit.draws.spare[:, 0]))
