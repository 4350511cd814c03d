"""The linear model against what one run by itself says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.fit.linear import THERMOMETER, Layout, Point, linear
from app.analysis.fit.model import Priors


@pytest.mark.parametrize("start_above_room_K", [0.0, -2.0, 3.0])
def test_one_run_with_a_leak_is_as_uncertain_as_its_thermometer_makes_it(start_above_room_K: float) -> None:
    """Of c = (e − λNθ₀/m)/w − C/m − λN/(2m), with C and λ known, u(c) is (e − λNθ₀/m)/w²·u(w)."""
    run = Layout(
        bench=np.array([0]),
        energy_J_per_kg=np.array([500.0]),
        per_mass=np.array([2.0]),
        inversions=np.array([50.0]),
        start_above_room_K=np.array([start_above_room_K]),
        weight=np.array([1.0]),
        u_warming_K=np.array([0.04]),
        with_leak=True,
    )
    point = Point(heat_capacity=130.0, heat_sink=20.0, leak=0.2, bench_sd=0.0, run_sd=0.0, sink_sd=0.0)
    known = replace(
        Priors(), heat_capacity_J_per_kg_K=1e6, heat_sink_J_per_K=1e-6, leak_J_per_K_per_inversion=1e-9
    )
    gained = 500.0 - 0.2 * 50.0 * start_above_room_K * 2.0
    warming = gained / (130.0 + 2.0 * 20.0 + 0.5 * 0.2 * 2.0 * 50.0)
    found = linear(run, point, known, np.array([1.0, 0.0, 0.0])).variance[THERMOMETER]
    assert found**0.5 == pytest.approx(gained / warming**2 * 0.04, rel=1e-3)
