"""A heat leak is found where the class can show one, and left out where it cannot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.analyse import analyse_class
from app.analysis.results import RunReadings, Separated
from app.physics.simulation.a_class import SimulatedPractical, simulate_class
from tests.analysis.classes import LEAD, MASSES_KG
from tests.even_class import even_class

LEAK = 0.35
FINE = replace(LEAD, thermometer_step_K=0.01, length_sd_m=0.0001)
"""Readings so exact that the leak of a class without any error shows wherever it may be looked for."""


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


def exact_class(benches: int = 8, leak: float = 0.3, spread: float = 12.0) -> list[RunReadings]:
    """Runs that obey m·e = (m·c + C)·w + m·λ·N·θ exactly, with θ = (T1 + T2)/2 − 21 °C.

    c = 127.4 J/(kg·K) and C = 45 J/K. Solved for w = m·(e − λN(T1 − 21)) / (m·c + C + m·λN/2). The starts
    spread over so many K.
    """
    made = []
    for i, place in enumerate((-0.25, 0.75, 0.5, -0.25, 0.75, 0.0, 0.3, 0.6)[:benches]):
        mass, start = (0.24, 0.88)[i % 2], 21.0 + spread * place
        energy = 9.80665 * 0.95 * 50
        warming = mass * (energy - leak * 50 * (start - 21.0)) / (mass * 127.4 + 45.0 + mass * leak * 25)
        for run in ("1", "2", "3"):
            made.append(
                RunReadings(
                    str(i + 1), run, mass, 1.0, 0.05, 50.0, start, start + warming, room_temperature_C=21.0
                )
            )
    return made


def separated(runs: list[RunReadings], room_temperature_C: float | None = None) -> Separated:
    """What is set apart, with readings as exact as these."""
    return analyse_class(runs, replace(FINE, room_temperature_C=room_temperature_C)).separated


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


def test_a_class_without_error_gives_back_the_leak_that_was_put_in() -> None:
    for leak in (0.03, 0.3):
        apart = separated(exact_class(leak=leak))
        assert apart.heat_leak_per_inversion == pytest.approx(leak, rel=1e-3)
        assert apart.heat_capacity_J_per_kg_K == pytest.approx(127.4, rel=1e-4)
        assert apart.heat_sink_J_per_K == pytest.approx(45.0, rel=1e-2)


@pytest.mark.parametrize(("benches", "fitted"), [(4, False), (5, False), (6, True), (7, True), (8, True)])
def test_fewer_than_six_benches_are_given_no_leak_however_clear_it_looks(benches: int, fitted: bool) -> None:
    """Four values fitted to five benches leave one degree of freedom: the leak would be taken from chance."""
    leak = separated(exact_class(benches)).heat_leak_per_inversion
    assert (leak is not None) is fitted


@pytest.mark.parametrize(("spread", "fitted"), [(0.5, False), (1.0, False), (2.0, True), (12.0, True)])
def test_benches_that_all_start_alike_are_given_no_leak(spread: float, fitted: bool) -> None:
    runs = exact_class(spread=spread)
    above = [0.5 * (run.start_temperature_C + run.end_temperature_C) - 21.0 for run in runs]
    assert (float(np.std(above)) >= 0.5) is fitted, "the rule is about the standard deviation over the runs"
    assert (separated(runs).heat_leak_per_inversion is not None) is fitted


def test_a_leak_that_explains_hardly_more_than_none_is_left_out() -> None:
    assert separated(exact_class(leak=0.0)).heat_leak_per_inversion is None
    assert separated(exact_class(leak=0.003)).heat_leak_per_inversion is None
    coarse = analyse_class(exact_class(leak=0.03), LEAD).separated
    assert coarse.heat_leak_per_inversion is None, "what 0.01 °C shows is lost in 0.1 °C"


def test_chance_in_a_class_without_a_leak_is_taken_for_one_at_most_rarely() -> None:
    found = [
        analyse_class(leaking_class(seed, 0.0), LEAD).separated.heat_leak_per_inversion for seed in range(12)
    ]
    assert sum(leak is not None for leak in found) <= 1


def test_without_the_room_temperature_of_every_counted_run_none_is_fitted() -> None:
    runs = exact_class()
    unknown = [replace(run, room_temperature_C=None) for run in runs]
    assert separated(unknown).heat_leak_per_inversion is None
    assert separated(unknown, 21.0).heat_leak_per_inversion == pytest.approx(0.3, rel=1e-3), (
        "the class's serves"
    )
    one = [unknown[0], *runs[1:]]
    assert separated(one).heat_leak_per_inversion is None
    aside = [replace(one[0], set_aside=True), *runs[1:]]
    assert separated(aside).heat_leak_per_inversion == pytest.approx(0.3, rel=1e-3)
