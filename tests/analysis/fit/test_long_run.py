"""The weighted draws against a long run of a general-purpose sampler (emcee), on five classes.

Medians and interval ends of c, C and the class value agree to 5 % of the half-widths, with 16,384 draws. The
chain's own standard error is about 0.8 % of a half-width in the class of six benches (1.1 % with half as many
steps, from five seeds); in the class of four, whose tails are heavy, half as many steps were 5.5 % off. Half
of the points are moved by a density estimated from the other half, with a kernel as wide as they are: wider
than usual, so that points are proposed in the tails too, where the interval ends lie. Stretch moves need four
times as many steps for the same error.
"""

from __future__ import annotations

import emcee
import numpy as np
import pytest

from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.model import Parameters
from tests.analysis.fit.rooms import ALONE, a_room, fitted, half_widths, main_figures
from tests.simulated_room import Room

ROOMS = {
    "an even class": Room(),
    "a leak and sinks that differ": Room(
        sink_spread=0.3, leak_J_per_K_per_inversion=0.1, start_above_room_K=3.0
    ),
    "six benches with two slips": Room(benches=6, slips=2, technique_sd_bench=0.05),
    "one run a bench, no room temperature": Room(runs=1, room_known=False, technique_sd_bench=0.05),
    "four benches": Room(benches=4, masses_kg=(0.24, 0.88)),
}


def long_run(fit: ClassFit, walkers: int = 256, steps: int = 1000) -> Parameters:
    """The parameters at the points of the chain, the first tenth left out."""
    start = fit.draws.points[
        np.random.default_rng(1).choice(len(fit.draws.weights), walkers, p=fit.draws.weights)
    ]
    sampler = emcee.EnsembleSampler(
        walkers,
        start.shape[1],
        fit.model.log_posterior,
        moves=emcee.moves.KDEMove(bw_method=1.0),
        vectorize=True,
    )
    sampler.random_state = np.random.RandomState(2).get_state()
    sampler.run_mcmc(start, steps)
    return fit.model.parameters(sampler.get_chain(discard=steps // 10, flat=True))


@pytest.mark.long
@pytest.mark.parametrize("name", ROOMS)
def test_the_draws_agree_with_a_long_run(name: str) -> None:
    fit = fitted(a_room(11, ROOMS[name]), ALONE, draws=16384)
    values = long_run(fit)
    per_mass = np.concatenate([stack.bench_per_mass for stack in fit.stacks])
    apparent = values.heat_capacity[:, None] + values.heat_sink[:, None] * per_mass
    expected = []
    for quantity in (values.heat_capacity, values.heat_sink, 1.0 / (1.0 / apparent).mean(axis=1)):
        expected += np.quantile(quantity, (0.5, 0.025, 0.975)).tolist()
    away = (np.array(main_figures(fit)) - expected) / np.array(half_widths(fit))
    assert np.abs(away).max() < 0.05, away.round(3)
