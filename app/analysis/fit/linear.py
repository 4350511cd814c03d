"""The model made linear about one point: where the uncertainty of a result comes from, or will come from.

A bench's relative error a_b + (its runs' errors) answers to (c, C, λ) with the coefficients −(ŵ, ŵ·x, x·N·(θ₀
+ ŵ/2))/e, ŵ = (e − λ·x·N·θ₀)/q as in `model`. Generalized least squares over the benches then gives the
covariance of (c, C, λ), and its weights say which part of it is whose: technique of benches, differing sinks,
technique of runs, the thermometer. The half-normal priors of c, C and λ enter as information of their own
(variance of a half-normal: (1 − 2/π)·scale²).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from scipy.linalg import pinvh

from app.analysis.columns import Indices
from app.analysis.fit.model import Priors
from app.physics.energy import warming_with_leak
from app.statistics.domain import Floats

BENCH_TECHNIQUE = "bench-technique"
SINKS = "sinks-differ"
RUN_TECHNIQUE = "run-technique"
THERMOMETER = "thermometer"
PRIORS = "priors"
ROOM = "room"


@dataclass(frozen=True)
class Point:
    """Where the model is made linear."""

    heat_capacity: float
    heat_sink: float
    leak: float
    bench_sd: float
    run_sd: float
    sink_sd: float


@dataclass(frozen=True)
class Layout:
    """Runs as arrays of one entry each: the design of a class. `weight` is the probability that a run counts
    as one like the others (1 where nothing has been looked at)."""

    bench: Indices
    energy_J_per_kg: Floats
    per_mass: Floats
    inversions: Floats
    start_above_room_K: Floats
    weight: Floats
    u_warming_K: Floats
    with_leak: bool


@dataclass(frozen=True)
class Linear:
    """A quantity's answer to the errors of the benches.

    `pull` is by how much the quantity rises for a relative shortfall of a bench's energy, one entry for each
    bench; `variance` its variance by source, of which `ROOM` is from the prior of λ, `PRIORS` from those of c
    and C.
    """

    pull: Floats
    variance: dict[str, float]


OF_SPECIFIC_HEAT: Floats = np.array([1.0, 0.0, 0.0])
"""The gradient of c by (c, C, λ)."""


def class_value_at(point: Point, per_mass: Floats, share: Floats) -> tuple[float, Floats]:
    """1/Σ s/(c + C·x) of benches with the shares s, which add up to 1, and its gradient by (c, C, λ)."""
    apparent = point.heat_capacity + point.heat_sink * per_mass
    value = float(1.0 / (share / apparent).sum())
    square = share * np.square(value / apparent)
    return value, np.array([square.sum(), (square * per_mass).sum(), 0.0])


def linear(layout: Layout, point: Point, priors: Priors, gradient: Floats) -> Linear:
    """The model made linear at the point, for a quantity with this gradient by (c, C, λ)."""
    x, energy = layout.per_mass, layout.energy_J_per_kg
    through, warming = warming_with_leak(
        energy,
        x,
        layout.inversions,
        layout.start_above_room_K,
        point.heat_capacity,
        point.heat_sink,
        point.leak,
    )
    thermometer, run_sd = np.square(layout.u_warming_K * through / energy), point.run_sd
    precision = layout.weight / (run_sd**2 + thermometer)
    benches = int(layout.bench.max()) + 1

    def of_bench(values: Floats) -> Floats:
        return np.bincount(layout.bench, values, benches).astype(np.float64)

    total = np.maximum(of_bench(precision), 1e-12)
    loss = x * layout.inversions * (layout.start_above_room_K + 0.5 * warming)
    rows = np.stack([
        of_bench(precision * part) / total for part in (warming / energy, warming * x / energy, loss / energy)
    ])  # fmt: skip
    sink_share = of_bench(precision * point.heat_sink * x / through) / total
    # Σ (p_j/P)²·v_j, split into the two parts of v_j; a run of weight below 1 has a larger v_j.
    shares = np.square(precision) / np.maximum(layout.weight, 1e-12)
    from_runs = of_bench(shares) * run_sd**2 / total**2
    from_reading = of_bench(shares * thermometer) / total**2
    from_benches = np.full(benches, point.bench_sd**2)
    from_sinks = np.square(point.sink_sd * sink_share)
    variance = from_benches + from_sinks + from_runs + from_reading
    half_normal = 1.0 - 2.0 / pi
    prior_sd = np.sqrt([
        half_normal * priors.heat_capacity_J_per_kg_K**2,
        half_normal * priors.heat_sink_J_per_K**2,
        half_normal * priors.leak_J_per_K_per_inversion**2 if layout.with_leak else 1e-12,
    ])  # fmt: skip
    # In units of the priors, so that the three stand side by side; no reading makes pinvh raise.
    units = np.outer(prior_sd, prior_sd)
    covariance = units * pinvh(units * ((rows / variance) @ rows.T) + np.eye(3))
    pull = (gradient @ covariance) @ (rows / variance)
    squared = np.square(pull)
    from_priors = np.square((gradient @ covariance) / prior_sd)
    return Linear(pull, {
        BENCH_TECHNIQUE: float(squared @ from_benches),
        SINKS: float(squared @ from_sinks),
        RUN_TECHNIQUE: float(squared @ from_runs),
        THERMOMETER: float(squared @ from_reading),
        PRIORS: float(from_priors[0] + from_priors[1]),
        ROOM: float(from_priors[2]) if layout.with_leak else 0.0,
    })  # fmt: skip
