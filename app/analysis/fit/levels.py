"""The levels of mass in a class, and what the class's one model says for each of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import believed_runs, lightest_of_levels
from app.analysis.fit.shared import shared_factor
from app.analysis.results import MassLevel
from app.statistics.domain import Floats


def levels_of_mass(fit: ClassFit, with_interval: bool) -> tuple[MassLevel, ...]:
    """The class's levels from the lightest on; none where every run is unlike the others.

    A bench's mass is the planned one where there is a plan. A level's value is c + C/m at the median mass m
    of its benches, the posterior's median, in J/(kg·K). A bench whose mass nobody believes is counted to the
    level that is nearest to it as a ratio.
    """
    believed = believed_runs(fit) > 0.0
    own, benches = fit.columns.bench_of, range(len(fit.columns.benches))
    masses = {b: _median_mass(fit, (own == b) & believed) for b in benches if believed[own == b].any()}
    if not masses:
        return ()
    sorted_by = {b: mass for b in benches if (mass := _planned_mass(fit, b) or masses.get(b))}
    lightest = np.array(lightest_of_levels(np.array(list(sorted_by.values()))))
    members: list[list[int]] = [[] for _ in lightest]
    for b in benches:
        if b in sorted_by:
            members[int(np.searchsorted(lightest, sorted_by[b], side="right")) - 1].append(b)
        else:
            away = np.abs(np.log(_median_mass(fit, own == b) / lightest))
            members[int(np.argmin(away))].append(b)
    found = []
    for level in members:
        measured = [masses[b] for b in level if b in masses]
        mass_kg = float(np.median(measured or [sorted_by[b] for b in level if b in sorted_by]))
        apparent = (fit.values.heat_capacity + fit.values.heat_sink / mass_kg) * shared_factor(fit)
        found.append(
            MassLevel(
                mass_kg=mass_kg,
                benches=tuple(fit.columns.benches[b] for b in level),
                apparent_heat_capacity_J_per_kg_K=fit.draws.median(apparent),
                interval_95=fit.draws.interval_95(apparent) if with_interval else None,
            )
        )
    return tuple(found)


def _planned_mass(fit: ClassFit, bench: int) -> float | None:
    planned = (
        run.planned_shot_mass_kg
        for run, b in zip(fit.columns.runs, fit.columns.bench_of, strict=True)
        if b == bench
    )
    return next((mass for mass in planned if mass), None)


def _median_mass(fit: ClassFit, which: NDArray[np.bool_]) -> float:
    masses: Floats = np.array([run.shot_mass_kg for run in fit.columns.runs])
    return float(np.median(masses[which]))
