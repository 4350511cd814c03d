"""Without leak, differing sinks and odd runs, and with one mass, the class value is the benches'
random-effects mean.

`app.statistics.random_effects` is checked against published cases (tests/reference); here the run-level fit
meets it where both describe the same class.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.fit.model import Priors
from app.analysis.fit.quantities import class_apparent
from app.statistics.random_effects import paule_mandel
from tests.analysis.fit.rooms import ALONE, a_room, fitted
from tests.simulated_room import Room

NO_SCATTER_OF_RUNS = replace(
    Priors(),
    sink_sd=1e-6,
    run_sd=1e-6,
    bench_sd=1.0,
    unlike_run=1e-12,
    unlike_bench=1e-12,
)
ROOM = Room(
    benches=24,
    masses_kg=(0.5,),
    mass_spread=0.0,
    heat_sink_J_per_K=0.0,
    technique_sd_bench=0.04,
    technique_sd_run=0.0,
    room_known=False,
    same_count=True,
    length_sd_m=0.0,
    depth_sd_m=0.0,
)


@pytest.mark.parametrize("seed", range(4))
def test_the_limit_is_the_random_effects_mean(seed: int) -> None:
    fit = fitted(a_room(seed, ROOM), ALONE, NO_SCATTER_OF_RUNS, draws=8192)
    (stack,) = fit.stacks
    energy = stack.energy_J_per_kg
    slope = (energy * stack.warming_K).sum(axis=1) / np.square(energy).sum(axis=1)
    variance = fit.model.u_warming_K**2 / np.square(energy).sum(axis=1)
    pooled = paule_mandel(slope, variance)
    half = pooled.half_width_95
    expected = np.array([pooled.mean, pooled.mean + half, pooled.mean - half])
    apparent = class_apparent(fit)
    found = 1.0 / np.array([fit.draws.median(apparent), *fit.draws.interval_95(apparent)])
    # The mean to 3 % of the half-width; the ends to 10 %: τ is averaged over here and put in there.
    assert found[0] == pytest.approx(expected[0], abs=0.03 * half)
    assert found[1:] == pytest.approx(expected[1:], abs=0.1 * half)
