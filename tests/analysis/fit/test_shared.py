"""What all benches share, and with which spare number of a draw."""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.fit.shared import energy_factor, reading_factor, shared_factor, shared_uncertainties
from tests.analysis.classes import LEAD, perfect_runs

SETTINGS = replace(
    LEAD, length_sd_m=0.0046, thermometer_scale=0.007, common_technique=0.011, u_gravity_m_per_s2=0.02
)


def test_a_draw_is_multiplied_by_the_shared_energy_and_divided_by_the_thermometers_scale() -> None:
    """exp(u_energy·z₂ − u_scale·z₁); u_energy² is the sum of technique 1.1 %, fall 4.6 mm in 92 cm and g."""
    spare = np.random.default_rng(1).normal(size=(5, 4))
    # The second run, set aside, has half the fall.
    runs = [
        replace(run, end_allowance_m=0.54, set_aside=True) if run.run == "2" else run
        for run in perfect_runs()
    ]
    fit: Any = SimpleNamespace(
        settings=SETTINGS, columns=columns(runs, SETTINGS), draws=SimpleNamespace(spare=spare)
    )
    gravity = 0.02 / 9.80665
    assert shared_uncertainties(fit) == pytest.approx(
        {"thermometer-scale": 0.007, "common-technique": 0.011, "fall-length": 0.005, "gravity": gravity}
    )
    u_energy = hypot(0.011, 0.005, gravity)
    assert np.log(energy_factor(fit)) == pytest.approx(u_energy * spare[:, 1])
    assert np.log(reading_factor(fit)) == pytest.approx(0.007 * spare[:, 0])
    assert np.log(shared_factor(fit)) == pytest.approx(u_energy * spare[:, 1] - 0.007 * spare[:, 0])
