"""What a class's design is, and what a usual class of it can expect of its specific heat: by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.fit.design import _OF_A_CLASS, half_width_of_design, layout, why_not_told_apart
from app.analysis.fit.linear import Layout
from app.analysis.fit.model import Priors
from app.analysis.fit.stacked import stacked
from app.analysis.readings import RunReadings
from tests.analysis.classes import LEAD

PER_MASS = np.array([4.0, 2.5, 1.5, 1.1])


def a_design(runs: int) -> Layout:
    """Four benches that were in no known room, each with so many runs of 451 J/kg."""
    count = 4 * runs
    return Layout(
        bench=np.repeat(np.arange(4), runs),
        energy_J_per_kg=np.full(count, 451.0),
        per_mass=np.repeat(PER_MASS, runs),
        inversions=np.full(count, 50.0),
        start_above_room_K=np.zeros(count),
        weight=np.ones(count),
        u_warming_K=np.full(count, 0.04),
        with_leak=False,
    )


@pytest.mark.parametrize("runs", [1, 3])
def test_a_usual_class_is_a_line_in_one_over_m_with_usual_scatter(runs: int) -> None:
    """q = c + 45·x J/(kg·K) of each bench, known to 3 % of benches, 10 % of the sink's share, and 2 % and
    u(w)·q/e of each run: our own choices. The variance of c is that of the line's end at x = 0."""
    q = 128.0 + 45.0 * PER_MASS
    relative = 0.03**2 + (0.1 * 45.0 * PER_MASS / q) ** 2 + (0.02**2 + (0.04 * q / 451.0) ** 2) / runs
    w = 1 / (q**2 * relative)
    of_c = (w @ PER_MASS**2) / (w.sum() * (w @ PER_MASS**2) - (w @ PER_MASS) ** 2)
    found = half_width_of_design(a_design(runs), 128.0, Priors())
    assert found == pytest.approx(1.959964 * of_c**0.5 / 128.0, rel=1e-4)


def test_the_layout_has_the_runs_that_weigh_something_and_numbers_their_benches_anew() -> None:
    """By number of runs, the fewest first: bench 3 with one run, then bench 1; nothing of bench 2."""
    runs = [
        RunReadings("1", "1", 0.5, 1.0, 0.08, 50.0, 20.0, 22.0, thermometer_step_K=0.5),
        RunReadings("1", "2", 0.4, 1.0, 0.08, 60.0, 18.0, 20.0),
        RunReadings("2", "1", 0.25, 1.0, 0.08, 50.0, 20.0, 22.0),
        RunReadings("3", "1", 0.8, 1.0, 0.08, 40.0, 19.0, 21.0),
    ]
    settings = replace(LEAD, room_temperature_C=21.0)
    model = SimpleNamespace(with_leak=True)
    fit: Any = SimpleNamespace(stacks=stacked(columns(runs, settings), settings), model=model)
    found = layout(fit, np.array([0.9, 0.05, 0.0, 0.8]))
    expected = {
        "bench": [1, 0, 0],
        "energy_J_per_kg": [9.80665 * 0.92 * turns for turns in (40, 50, 60)],
        "per_mass": [1.25, 2.0, 2.5],
        "inversions": [40.0, 50.0, 60.0],
        "start_above_room_K": [-2.0, -1.0, -3.0],
        "weight": [0.8, 0.9, 0.05],
        "u_warming_K": [0.1 / 6**0.5, 0.5 / 6**0.5, 0.1 / 6**0.5],
    }
    by_energy = np.argsort(found.energy_J_per_kg)
    assert {name: getattr(found, name)[by_energy].tolist() for name in expected} == {
        name: pytest.approx(one) for name, one in expected.items()
    }
    assert found.with_leak


@pytest.mark.parametrize(
    ("masses_kg", "said"),
    [
        ([0.25, 0.5, 0.8], "at least four benches are needed (so far: 3)"),
        ([0.5, 0.5, 0.54, 0.54], "about the same mass (500 to 540 g)"),
        (
            [0.5, 0.5, 0.57, 0.57],
            "With masses of 500 to 570 g (benches: 4) the specific heat would be uncertain by",
        ),
        ([0.25, 0.25, 0.9, 0.9], None),
    ],
)
def test_a_design_that_cannot_tell_shot_from_sink_is_told_why(
    masses_kg: list[float], said: str | None
) -> None:
    plan = a_design(1)
    few = len(masses_kg)
    of_runs = {name: one[:few] for name, one in vars(plan).items() if name not in ("per_mass", "with_leak")}
    plan = Layout(**of_runs, per_mass=1 / np.array(masses_kg), with_leak=False)
    found = why_not_told_apart(plan, 128.0, Priors(), _OF_A_CLASS)
    if said is None:
        assert found is None
        return
    assert said in str(found)
    if "uncertain by" in said:
        half = half_width_of_design(plan, 128.0, Priors())
        assert half > 0.6
        assert f"uncertain by about {100 * half:.0f} %" in str(found)
