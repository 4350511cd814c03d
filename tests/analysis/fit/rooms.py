"""Classes for the tests of the run-level fit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from app.analysis.fit.class_fit import ClassFit, class_fit
from app.analysis.fit.model import Priors
from app.analysis.fit.quantities import class_apparent, heat_sink, specific_heat
from app.analysis.readings import ClassSettings, RunReadings
from tests.simulated_room import Room, simulate_room

LEAD = ClassSettings(accepted_J_per_kg_K=129.0, accepted_source="for the tests", reading_sd_K=0.05)
ALONE = replace(LEAD, thermometer_scale=0.0, common_technique=0.0, length_sd_m=0.0)
"""Without anything that the benches share."""


def a_room(seed: int, room: Room | None = None) -> list[RunReadings]:
    """A simulated class's readings."""
    made = simulate_room(np.random.default_rng(seed), Room() if room is None else room)
    return [RunReadings(**vars(run.recorded)) for run in made]


def fitted(
    runs: list[RunReadings],
    settings: ClassSettings = LEAD,
    priors: Priors | None = None,
    draws: int = 4096,
) -> ClassFit:
    """The fit, where there must be one."""
    fit = class_fit(runs, settings, priors, draws)
    assert isinstance(fit, ClassFit), fit
    return fit


def main_figures(fit: ClassFit) -> list[float]:
    """Median and interval of specific heat, heat sink and class value."""
    figures = []
    for quantity in (specific_heat(fit), heat_sink(fit), class_apparent(fit)):
        figures += [fit.draws.median(quantity), *fit.draws.interval_95(quantity)]
    return figures


def half_widths(fit: ClassFit) -> list[float]:
    """Half the interval of each of the three, once for each of its three figures."""
    figures = main_figures(fit)
    return [(figures[i + 2] - figures[i + 1]) / 2 for i in (0, 3, 6) for _ in range(3)]
