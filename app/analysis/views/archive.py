"""Very many runs of many practicals at once: c*, u(c*) and modified-z flags per practical, as arrays.

For an archive of years. The flags are those of one column, w/e within a practical (so for practicals
whose benches used one mass); the analysis of a single class is `app.analysis.analyse`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from app.analysis.columns import Flags, Floats
from app.analysis.doubt.checks import FEWEST_RUNS
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.uncertainty import apparent_heat_capacities
from app.statistics.domain import LARGEST
from app.statistics.outliers import MODIFIED_Z_LIMIT, modified_z


@dataclass(frozen=True)
class ArchiveFigures:
    """One entry for each run, in the order given; NaN in `apparent` and `u_apparent` where w ≤ 0."""

    apparent_J_per_kg_K: Floats
    u_apparent_J_per_kg_K: Floats
    modified_z: Floats
    flagged: Flags


def archive_figures(
    practical: ArrayLike,
    tube_length_m: ArrayLike,
    end_allowance_m: ArrayLike,
    inversions: ArrayLike,
    start_temperature_C: ArrayLike,
    end_temperature_C: ArrayLike,
    *,
    thermometer_step_K: ArrayLike = 0.1,
    gravity_m_per_s2: ArrayLike = STANDARD_GRAVITY_M_PER_S2,
    length_sd_m: ArrayLike = 0.002,
) -> ArchiveFigures:
    """M_i = (s_i − median)/max(MAD/0.6745, u(w)/e) with s = w/e, per practical (whole numbers).

    Flags |M| > 3.5 (Iglewicz and Hoaglin, 1993) in practicals with five runs and more; a scale below
    the thermometer's own resolution is never used. Runs without a positive energy get M = 0.
    """
    found = apparent_heat_capacities(
        tube_length_m,
        end_allowance_m,
        inversions,
        start_temperature_C,
        end_temperature_C,
        gravity_m_per_s2=gravity_m_per_s2,
        thermometer_step_K=thermometer_step_K,
        u_length_m=length_sd_m,
    )
    energy, warming = found.specific_energy_J_per_kg, found.warming_K
    group = np.asarray(practical)
    with np.errstate(all="ignore"):
        sound = (energy > 0.0) & np.isfinite(energy) & np.isfinite(warming)
        sound &= np.abs(warming) <= LARGEST * np.minimum(energy, 1.0)
        slope = np.where(sound, warming / np.where(sound, energy, 1.0), 0.0)
        floor = found.u_warming_K / np.where(sound, energy, 1.0)
        z = np.zeros(len(slope))
        at = np.flatnonzero(sound)
        if len(at):
            z[at] = _scores(group[at], slope[at], floor[at])
    return ArchiveFigures(
        found.apparent_heat_capacity_J_per_kg_K,
        found.standard_uncertainty_J_per_kg_K,
        z,
        np.abs(z) > MODIFIED_Z_LIMIT,
    )


def _scores(group: np.ndarray, value: Floats, floor: Floats) -> Floats:
    """Modified z within each group; 0 in groups of fewer than five."""
    _, label = np.unique(group, return_inverse=True)
    counts = np.bincount(label)
    return np.where(counts[label] >= FEWEST_RUNS, modified_z(value, label, floor).scores, 0.0)
