"""Classes for the tests of the analysis: made by the simulator, or by hand without any error."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.analysis.readings import ClassSettings, RunReadings
from app.physics.simulation.a_class import SimulatedBench, SimulatedPractical, simulate_class
from tests.even_class import even_class

LEAD = ClassSettings(accepted_J_per_kg_K=127.4, accepted_source="for the tests")
MASSES_KG = (0.24, 0.45, 0.67, 0.88)


def perfect_runs(
    masses_kg: Sequence[float] = MASSES_KG * 3,
    runs: int = 3,
    heat_capacity: float = 127.4,
    heat_sink: float = 45.0,
    inversions: float = 50.0,
) -> list[RunReadings]:
    """Runs that obey m·e = (m·c + C)·w exactly, one bench for each mass, starting at 20 °C."""
    made = []
    for number, mass in enumerate(masses_kg, 1):
        warming = 9.80665 * 0.92 * inversions * mass / (mass * heat_capacity + heat_sink)
        for run in range(1, runs + 1):
            made.append(RunReadings(str(number), str(run), mass, 1.0, 0.08, inversions, 20.0, 20.0 + warming))
    return made


def simulated_runs(
    seed: int,
    benches: int = 12,
    runs: int = 3,
    masses_kg: tuple[float, ...] = MASSES_KG,
    **practical: float,
) -> list[RunReadings]:
    """A simulated class; further keywords go to `SimulatedPractical`."""
    pattern = SimulatedBench("", end_allowance_m=0.08)
    settings: dict[str, float] = {"heat_sink_J_per_K": 45.0, "technique_sd_bench": 0.02} | practical
    class_ = SimulatedPractical(benches=even_class(benches, runs, masses_kg, pattern), **settings)  # type: ignore[arg-type]
    return [readings(run.recorded) for run in simulate_class(np.random.default_rng(seed), class_)]


def readings(recorded: object) -> RunReadings:
    """The simulator's record as the analysis takes it."""
    return RunReadings(**vars(recorded))
