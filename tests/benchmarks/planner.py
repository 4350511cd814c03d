"""Does a plan give what the planner predicts? Predicted interval widths against simulated classes.

    python -m tests.benchmarks.planner [classes per setting]

Each setting plans benches, simulates that many classes on the plan, puts every one through the whole
analysis and compares the median half-width of the 95 % intervals with the prediction (target: within 10 %).
Ends with status 1 if a setting misses the target.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np

from app.analysis.analyse import analyse_class
from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.prediction import BenchPlan, Prediction, predict
from app.analysis.plan.proposal import propose
from app.analysis.results import ClassSettings, RunReadings
from app.physics.simulation.a_class import SimulatedBench, SimulatedPractical, simulate_class

WITHIN = 0.10


@dataclass(frozen=True)
class Setting:
    """A kit, and the plan to try on it."""

    name: str
    kit: Kit
    plans: tuple[BenchPlan, ...]


@dataclass(frozen=True)
class Compared:
    """Predicted and simulated median half-widths, J/(kg·K)."""

    setting: Setting
    what: str
    predicted: float
    simulated: float

    @property
    def off_by(self) -> float:
        return self.predicted / self.simulated - 1


def settings() -> list[Setting]:
    """Every kind of plan the planner weighs, and kits from easy to hard."""
    tube = Tube(1.0, 0.04, 0.02)
    kits = {
        "12 tubes": Kit((tube,) * 12),
        "12 tubes, rough technique": Kit((tube,) * 12, technique_sd_bench=0.06),
        "12 tubes, 0.5 K steps": Kit((tube,) * 12, thermometer_steps_K=(0.5,), technique_sd_bench=0.02),
        "8 tubes": Kit((tube,) * 8),
        "16 tubes, large heat sink": Kit((tube,) * 16, heat_sink_J_per_K=45.0),
        "12 tubes, copper": Kit((tube,) * 12, material="copper"),
        "10 tubes of two lengths": Kit((tube,) * 5 + (Tube(0.8, 0.035, 0.02),) * 5),
    }
    found = []
    for name, kit in kits.items():
        proposal = propose(kit)
        for alternative in proposal.alternatives:
            found.append(Setting(f"{name}: {alternative.key}", kit, alternative.plans))
    return found


def simulated_half_widths(
    setting: Setting, prediction: Prediction, classes: int, seed: int
) -> tuple[list[float], list[float]]:
    """Half-widths of the class value's and the separated interval, class by class."""
    kit = setting.kit
    benches = tuple(
        SimulatedBench(
            bench=bench.plan.bench,
            shot_mass_kg=bench.plan.shot_mass_kg,
            inversions=bench.plan.inversions,
            runs=bench.plan.runs,
            tube_length_m=bench.plan.tube.length_m,
            end_allowance_m=bench.end_allowance_m,
            start_temperature_C=bench.start_temperature_C,
        )
        for bench in prediction.benches
    )
    truth = SimulatedPractical(
        benches=benches,
        heat_capacity_J_per_kg_K=kit.c,
        heat_sink_J_per_K=kit.heat_sink_J_per_K,
        technique_sd_bench=kit.technique_sd_bench,
        technique_sd_run=kit.technique_sd_run,
        thermometer_step_K=kit.step_K(0),
        reading_sd_K=kit.reading_sd_K,
        length_sd_m=kit.length_sd_m,
        gravity_m_per_s2=kit.gravity_m_per_s2,
    )
    analysed = ClassSettings(
        accepted_J_per_kg_K=kit.c,
        gravity_m_per_s2=kit.gravity_m_per_s2,
        thermometer_step_K=kit.step_K(0),
        reading_sd_K=kit.reading_sd_K,
        length_sd_m=kit.length_sd_m,
    )
    rng = np.random.default_rng(seed)
    of_class, of_separated = [], []
    for _ in range(classes):
        readings = [RunReadings(**vars(run.recorded)) for run in simulate_class(rng, truth)]
        result = analyse_class(readings, analysed)
        if result.class_value is not None and result.class_value.interval_95 is not None:
            low, high = result.class_value.interval_95
            of_class.append((high - low) / 2)
        if result.separated.interval_95 is not None:
            low, high = result.separated.interval_95
            of_separated.append((high - low) / 2)
    return of_class, of_separated


def compare(setting: Setting, classes: int, seed: int = 7) -> list[Compared]:
    """Predicted against simulated for one setting."""
    prediction = predict(setting.kit, setting.plans)
    of_class, of_separated = simulated_half_widths(setting, prediction, classes, seed)
    compared = []
    if prediction.class_half_width_J_per_kg_K is not None:
        compared.append(
            Compared(setting, "class value", prediction.class_half_width_J_per_kg_K, median(of_class))
        )
    if prediction.separated_half_width_J_per_kg_K is not None:
        half = prediction.separated_half_width_J_per_kg_K
        compared.append(Compared(setting, "separated", half, median(of_separated)))
    return compared


def main(arguments: Sequence[str]) -> int:
    classes = int(arguments[0]) if arguments else 400
    print(f"{classes} classes per setting; half-widths of 95 % intervals in J/(kg·K)")
    print(f"{'setting':42} {'interval':12} {'predicted':>9} {'simulated':>9} {'off by':>7}")
    worst = 0.0
    for setting in settings():
        for one in compare(setting, classes):
            worst = max(worst, abs(one.off_by))
            print(
                f"{setting.name:42} {one.what:12} {one.predicted:9.2f} {one.simulated:9.2f} "
                f"{100 * one.off_by:+6.1f}%"
            )
    print(f"furthest off: {100 * worst:.1f} % (target {100 * WITHIN:.0f} %)")
    return 0 if worst <= WITHIN else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
