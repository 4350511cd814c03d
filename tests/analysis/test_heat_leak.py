"""A heat leak is found where the class can show one, and left out where it cannot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.analyse import analyse_class
from app.analysis.results import RunReadings
from app.physics.simulation import SimulatedPractical, even_class, simulate_class
from tests.analysis.classes import LEAD, MASSES_KG, simulated_runs

LEAK = 0.35


def leaking_class(seed: int, leak: float = LEAK) -> list[RunReadings]:
    """Benches that start between 3 °C below and 9 °C above the room."""
    benches = [
        replace(bench, start_temperature_C=18.0 + 12.0 * ((7 * i) % 16) / 15)
        for i, bench in enumerate(even_class(16, 3, MASSES_KG))
    ]
    practical = SimulatedPractical(
        benches=tuple(benches), heat_sink_J_per_K=45.0, heat_leak_per_inversion=leak, technique_sd_bench=0.02
    )
    made = simulate_class(np.random.default_rng(seed), practical)
    return [RunReadings(**vars(run.recorded)) for run in made]


def test_a_class_with_very_different_starts_recovers_leak_and_specific_heat() -> None:
    covered, leaks = 0, []
    for seed in range(20):
        apart = analyse_class(leaking_class(seed), LEAD).separated
        assert apart.interval_95 is not None
        covered += apart.interval_95[0] <= 127.4 <= apart.interval_95[1]
        if apart.heat_leak_per_inversion is not None:
            leaks.append(apart.heat_leak_per_inversion)
            assert "heat leak" in str(apart.model_choice)
    assert covered >= 16
    assert len(leaks) >= 17
    assert float(np.median(leaks)) == pytest.approx(LEAK, rel=0.15)


def test_without_a_leak_or_without_room_temperatures_none_is_fitted() -> None:
    found = [
        analyse_class(leaking_class(seed, 0.0), LEAD).separated.heat_leak_per_inversion for seed in range(12)
    ]
    assert sum(leak is not None for leak in found) <= 1
    unknown = [replace(run, room_temperature_C=None) for run in leaking_class(1)]
    assert analyse_class(unknown, LEAD).separated.heat_leak_per_inversion is None
    level = simulated_runs(1)
    assert analyse_class(level, LEAD).separated.heat_leak_per_inversion is None
