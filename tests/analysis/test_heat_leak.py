"""The heat leak is in the fit whenever a room temperature is known; its interval says what a class shows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.readings import RunReadings
from app.analysis.results import Separated
from tests.analysis.classes import LEAD
from tests.analysis.fit.rooms import a_room
from tests.simulated_room import Room

FINE = replace(LEAD, thermometer_step_K=0.01, length_sd_m=0.0001, common_technique=0.0, thermometer_scale=0.0)
"""Readings so exact that the leak of a class without any error shows."""


def exact_class(benches: int = 8, leak: float = 0.1) -> list[RunReadings]:
    """Runs that obey m·e = (m·c + C)·w + λ·N·θ exactly, with θ = (T1 + T2)/2 − 21 °C.

    c = 127.4 J/(kg·K) and C = 45 J/K. Solved for w = (m·e − λN(T1 − 21)) / (m·c + C + λN/2).
    """
    made = []
    for i, place in enumerate((-0.25, 0.75, 0.5, -0.25, 0.75, 0.0, 0.3, 0.6)[:benches]):
        mass, start = (0.24, 0.88)[i % 2], 21.0 + 12.0 * place
        energy = 9.80665 * 0.95 * 50
        warming = (mass * energy - leak * 50 * (start - 21.0)) / (mass * 127.4 + 45.0 + leak * 25)
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


def test_classes_that_leak_cover_leak_and_specific_heat() -> None:
    """Ten classes that start 3 K above the room: 95 % intervals miss more than two with a chance of 1 %."""
    room = Room(leak_J_per_K_per_inversion=0.1, start_above_room_K=3.0)
    leaks, heats = 0, 0
    for seed in range(10):
        settings = replace(LEAD, accepted_J_per_kg_K=129.0, reading_sd_K=0.05)
        apart = analyse_class(a_room(seed, room), settings).separated
        assert apart.heat_leak_interval_95 is not None
        assert apart.interval_95 is not None
        leaks += apart.heat_leak_interval_95[0] <= 0.1 <= apart.heat_leak_interval_95[1]
        heats += apart.interval_95[0] <= room.heat_capacity_J_per_kg_K <= apart.interval_95[1]
    assert leaks >= 8
    assert heats >= 8


def test_a_class_without_error_gives_back_the_leak_that_was_put_in() -> None:
    apart = separated(exact_class())
    assert apart.heat_leak_J_per_K_per_inversion == pytest.approx(0.1, rel=0.03)
    assert apart.heat_capacity_J_per_kg_K == pytest.approx(127.4, rel=0.01)
    assert apart.heat_sink_J_per_K == pytest.approx(45.0, rel=0.03)
    assert apart.model == "shot, heat sink and heat leak"


def test_the_leak_of_a_class_that_has_none_is_near_zero_and_not_left_out() -> None:
    apart = separated(exact_class(leak=0.0))
    assert apart.heat_leak_interval_95 is not None
    assert 0.0 <= apart.heat_leak_interval_95[0] <= apart.heat_leak_interval_95[1] < 0.02


def test_a_room_temperature_is_needed_once() -> None:
    unknown = [replace(run, room_temperature_C=None) for run in exact_class()]
    without = separated(unknown)
    assert without.heat_leak_J_per_K_per_inversion is None
    assert without.heat_leak_per_inversion is None
    assert without.model == "shot and heat sink"
    assert "No room temperature is known" in str(without.heat_leak_absent_because)
    of_class = separated(unknown, 21.0)
    assert of_class.heat_leak_J_per_K_per_inversion == pytest.approx(0.1, rel=0.03)
    assert of_class.heat_leak_absent_because is None
    once = separated([exact_class()[0], *unknown[1:]])
    assert once.heat_leak_J_per_K_per_inversion == pytest.approx(0.1, rel=0.03)
