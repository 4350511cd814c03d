"""The fit does not depend on units, on the order of runs or on what the benches are called."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.fit.model import Priors
from app.analysis.fit.oddness import oddness
from app.analysis.readings import RunReadings
from tests.analysis.fit.rooms import LEAD, a_room, fitted, main_figures
from tests.simulated_room import Room


def a_class() -> list[RunReadings]:
    """Benches of one, two and three runs, two slips."""
    runs = a_room(6, Room(slips=2, leak_J_per_K_per_inversion=0.05, start_above_room_K=-2.0))
    return [run for i, run in enumerate(runs) if i not in (1, 2, 7)]


def test_order_of_the_runs() -> None:
    runs = a_class()
    order = np.random.default_rng(1).permutation(len(runs))
    straight, shuffled = fitted(runs), fitted([runs[i] for i in order])
    assert main_figures(shuffled) == pytest.approx(main_figures(straight), rel=1e-6)
    odd, shuffled_odd = oddness(straight).runs, oddness(shuffled).runs
    for place, i in enumerate(order):
        assert shuffled_odd[place] == pytest.approx(odd[i], abs=1e-6)


def test_labels_of_the_benches() -> None:
    runs = a_class()
    renamed = [replace(run, bench="table " + "zyxwvutsrqpo"[int(run.bench) - 1]) for run in runs]
    assert main_figures(fitted(renamed)) == pytest.approx(main_figures(fitted(runs)), rel=1e-9)


def test_unit_of_energy() -> None:
    """Twice g is twice every energy: with priors on that scale every heat capacity doubles."""
    runs, priors = a_class(), Priors()
    doubled = replace(
        priors,
        heat_capacity_J_per_kg_K=2 * priors.heat_capacity_J_per_kg_K,
        heat_sink_J_per_K=2 * priors.heat_sink_J_per_K,
        leak_J_per_K_per_inversion=2 * priors.leak_J_per_K_per_inversion,
    )
    once = fitted(runs)
    twice = fitted(runs, replace(LEAD, gravity_m_per_s2=2 * LEAD.gravity_m_per_s2), doubled)
    assert main_figures(twice) == pytest.approx([2 * x for x in main_figures(once)], rel=1e-3)


def test_a_common_offset_of_all_thermometers_cancels() -> None:
    runs = a_class()
    warmer = [
        replace(
            run,
            start_temperature_C=run.start_temperature_C + 2.0,
            end_temperature_C=run.end_temperature_C + 2.0,
            room_temperature_C=None if run.room_temperature_C is None else run.room_temperature_C + 2.0,
        )
        for run in runs
    ]
    assert main_figures(fitted(warmer)) == pytest.approx(main_figures(fitted(runs)), rel=1e-6)


def test_the_same_readings_give_the_same_digits() -> None:
    assert main_figures(fitted(a_class())) == main_figures(fitted(a_class()))
