"""One bench's heat ledger in joules: where the fall energy of its own counted runs went."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import hypot, sqrt

from app.analysis.results import ClassResult, RunResult
from app.physics.coverage import COVERAGE_95


@dataclass(frozen=True)
class OwnLedger:
    """Means over the bench's runs, in joules, with the standard uncertainty of the rest.

    `sink_J` is None where the class does not tell shot and heat sink apart: it is in the rest then.
    """

    runs: int
    energy_J: float
    shot_J: float
    sink_J: float | None
    rest_J: float
    u_rest_J: float


def own_ledger(result: ClassResult, bench: str) -> OwnLedger | None:
    """The ledger of a bench by its name; None where the class has none, or the bench no counted run.

    Runs that are unlike the others are left out, as in the class's. Energy E = m·e, shot m·c·w with the
    accepted c, heat sink C·w with the class's own C, rest E less the two. The rest's uncertainty is the
    thermometer's and the accepted value's, and that of C from its interval.
    """
    own = like_the_others([run for run in result.runs if run.readings.bench == bench])
    if result.ledger is None or not own:
        return None
    sink, u_sink = _heat_sink(result)
    c, u_c = result.settings.accepted_J_per_kg_K, result.settings.u_accepted_J_per_kg_K
    energy = _mean(own, lambda run: run.readings.shot_mass_kg * run.specific_energy_J_per_kg)
    warmed = _mean(own, lambda run: run.readings.shot_mass_kg * run.warming_K)  # kg·K
    warming = _mean(own, lambda run: run.warming_K)
    thermometer = sqrt(
        sum(((run.readings.shot_mass_kg * c + (sink or 0.0)) * run.u_warming_K) ** 2 for run in own)
    ) / len(own)
    shot, taken = c * warmed, None if sink is None else sink * warming
    return OwnLedger(
        runs=len(own),
        energy_J=energy,
        shot_J=shot,
        sink_J=taken,
        rest_J=energy - shot - (taken or 0.0),
        u_rest_J=hypot(thermometer, u_c * warmed, u_sink * warming),
    )


def like_the_others(runs: Iterable[RunResult]) -> list[RunResult]:
    """The counted runs without those that are unlike the others, as in the class's ledger; all counted ones
    where each of them is."""
    counted = [run for run in runs if not run.readings.set_aside]
    return [run for run in counted if not run.is_unlike_the_others] or counted


def _heat_sink(result: ClassResult) -> tuple[float | None, float]:
    """In J/K, with its standard uncertainty."""
    found = result.separated
    if not found.identifiable or found.heat_sink_J_per_K is None:
        return None, 0.0
    low, high = found.heat_sink_interval_95 or (found.heat_sink_J_per_K,) * 2
    return found.heat_sink_J_per_K, (high - low) / (2 * COVERAGE_95)


def _mean(runs: list[RunResult], figure: Callable[[RunResult], float]) -> float:
    return statistics.fmean(figure(run) for run in runs)
