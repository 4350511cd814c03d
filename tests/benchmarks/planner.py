"""Does a plan give what the planner predicts? Predicted interval widths against simulated classes.

    python -m tests.benchmarks.planner [classes per setting [text in the setting's name]]

Each setting plans benches, simulates that many classes on the plan, puts every one through the fit of the
class and compares the median half-width of the 95 % intervals with the prediction (target: within 10 %;
the Monte Carlo error of the median stands beside it). Ends with status 1 if a setting misses the target by
more than that error.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np

from app.analysis.fit.class_fit import ClassFit, class_fit
from app.analysis.fit.class_value import class_value
from app.analysis.fit.separated import separated
from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.prediction import BenchPlan, Prediction, predict
from app.analysis.plan.proposal import propose
from app.analysis.readings import ClassSettings, RunReadings
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
    mc_error: float
    """Relative standard error of the simulated median."""

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
        room_temperature_C=kit.room_temperature_C,
    )
    rng = np.random.default_rng(seed)
    of_class: list[float] = []
    of_separated: list[float] = []
    for _ in range(classes):
        readings = [RunReadings(**vars(run.recorded)) for run in simulate_class(rng, truth)]
        fit = class_fit(readings, analysed)
        if not isinstance(fit, ClassFit):
            continue
        for interval, halves in (
            (class_value(fit).interval_95, of_class),
            (separated(fit).interval_95, of_separated),
        ):
            if interval is not None:
                halves.append((interval[1] - interval[0]) / 2)
    return of_class, of_separated


def compare(setting: Setting, classes: int, seed: int = 7) -> list[Compared]:
    """Predicted against simulated for one setting."""
    prediction = predict(setting.kit, setting.plans)
    of_class, of_separated = simulated_half_widths(setting, prediction, classes, seed)
    of_what = {
        "class value": (prediction.class_half_width_J_per_kg_K, of_class),
        "separated": (prediction.separated_half_width_J_per_kg_K, of_separated),
    }
    return [
        Compared(setting, what, predicted, median(halves), relative_error_of_median(halves))
        for what, (predicted, halves) in of_what.items()
        if predicted is not None and halves
    ]


def relative_error_of_median(values: Sequence[float]) -> float:
    """√(π/2)·sd/√n over the median, as for a normal distribution."""
    return float(np.sqrt(np.pi / 2) * np.std(values) / np.sqrt(len(values)) / np.median(values))


def main(arguments: Sequence[str]) -> int:
    classes = int(arguments[0]) if arguments else 400
    wanted = arguments[1] if len(arguments) > 1 else ""
    print(f"{classes} classes per setting; half-widths of 95 % intervals in J/(kg·K)")
    print(f"{'setting':42} {'interval':12} {'predicted':>9} {'fitted':>9} {'off by':>7}  ± MC")
    worst, missed = 0.0, False
    for setting in settings():
        if wanted not in setting.name:
            continue
        for one in compare(setting, classes):
            worst = max(worst, abs(one.off_by))
            missed = missed or abs(one.off_by) > WITHIN + one.mc_error
            print(
                f"{setting.name:42} {one.what:12} {one.predicted:9.2f} {one.simulated:9.2f} "
                f"{100 * one.off_by:+6.1f}% ±{100 * one.mc_error:4.1f}",
                flush=True,
            )
    print(f"furthest off: {100 * worst:.1f} % (target {100 * WITHIN:.0f} %)")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
