"""Does a plan give what the planner predicts? Predicted interval widths against simulated classes.

    python -m tests.benchmarks.planner [classes per setting [text in the setting's name]]

Each setting plans benches, simulates that many classes on the plan in a room as it comes (leak, differing
sinks, settled shot, depths and lengths as measured), puts every one through the fit of the class and compares
the median half-width of the 95 % intervals with the prediction (target: within 10 %; the Monte Carlo error of
the median stands beside it). Ends with status 1 if a setting misses the target by more than that error.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

import numpy as np

from app.analysis.fit.class_fit import ClassFit, class_fit
from app.analysis.fit.class_value import class_value
from app.analysis.fit.separated import separated
from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.prediction import BenchPlan, predict
from app.analysis.plan.proposal import propose
from app.analysis.readings import ClassSettings, RunReadings
from app.physics.planned import about_half
from tests.simulated_room import Room, simulate_room

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
    """Every kind of plan the planner weighs, from easy kits to hard ones, and masses as lessons have them."""
    tube = Tube(1.0, 0.04, 0.02)
    real = Kit(
        (tube,) * 12,
        heat_sink_J_per_K=45.0,
        technique_sd_bench=0.02,
        technique_sd_run=0.02,
        reading_sd_K=0.05,
    )
    kits = {
        "12 tubes": Kit((tube,) * 12),
        "12 tubes, no leak, sinks alike": Kit((tube,) * 12, sink_sd=0.0, leak_J_per_K_per_inversion=0.0),
        "12 tubes, rough technique": Kit((tube,) * 12, technique_sd_bench=0.06),
        "12 tubes, 0.5 K steps": Kit((tube,) * 12, thermometer_steps_K=(0.5,), technique_sd_bench=0.02),
        "8 tubes": Kit((tube,) * 8),
        "16 tubes, large heat sink": Kit((tube,) * 16, heat_sink_J_per_K=45.0),
        "12 tubes, copper": Kit((tube,) * 12, material="copper"),
        "10 tubes of two lengths": Kit((tube,) * 5 + (Tube(0.8, 0.035, 0.02),) * 5),
        "6 tubes, two counts": Kit((tube,) * 6, two_counts=True),
        "12 tubes, depth measured": Kit((Tube(1.0, end_allowance_m=0.1),) * 12, depth_measured=True),
        "6 real": replace(real, tubes=(tube,) * 6),
        "12 real, two counts": replace(real, two_counts=True),
    }
    found = []
    for name, kit in kits.items():
        for alternative in propose(kit).alternatives:
            found.append(Setting(f"{name}: {alternative.key}", kit, alternative.plans))
    return found + _given_masses(real)


def _given_masses(real: Kit) -> list[Setting]:
    """Masses far apart and nearer, bores, numbers of benches, thermometers, starts, and two counts."""
    found = []
    for benches in (6, 8, 12, 16):
        for bore_m in (0.03, 0.04, 0.05):
            for masses in ((0.24, 0.45, 0.66, 0.88), (0.2, 1.2)):
                kit = replace(real, tubes=(Tube(1.0, bore_m, 0.02),) * benches)
                name = f"{benches}, {1000 * bore_m:.0f} mm, {min(masses)} to {max(masses)} kg"
                found.append(_given(name, kit, masses))
    for masses in ((0.24, 0.45, 0.66, 0.88), (0.2, 1.2)):
        of = f"12, {min(masses)} to {max(masses)} kg"
        found += [
            _given(f"{of}, steps 0.2 K", replace(real, thermometer_steps_K=(0.2,)), masses),
            _given(f"{of}, steps 0.5 K", replace(real, thermometer_steps_K=(0.5,)), masses),
            _given(f"{of}, steps 0.1 and 0.5 K", replace(real, thermometer_steps_K=(0.1, 0.5) * 6), masses),
            _given(f"{of}, technique 5 %", replace(real, technique_sd_bench=0.05), masses),
            _given(f"{of}, start 3 K above", real, masses, start_C=real.room_temperature_C + 3.0),
            _given(f"{of}, start 3 K below", real, masses, start_C=real.room_temperature_C - 3.0),
            _given(f"{of}, two counts", real, masses, second=about_half(100)),
            _given(f"{of}, one run of 60", real, masses, runs=1, inversions=60),
        ]
    return found


def _given(
    name: str,
    kit: Kit,
    masses_kg: Sequence[float],
    *,
    inversions: int = 100,
    second: int | None = None,
    runs: int = 3,
    start_C: float | None = None,
) -> Setting:
    return Setting(
        name,
        kit,
        tuple(
            BenchPlan(
                str(i + 1),
                tube,
                kit.step_K(i),
                masses_kg[i % len(masses_kg)],
                inversions,
                runs,
                start_C,
                second,
            )
            for i, tube in enumerate(kit.tubes)
        ),
    )


def room_of(setting: Setting) -> Room:
    """The class that keeps this plan; every bench has the first one's counts."""
    kit, plans = setting.kit, setting.plans
    prediction = predict(kit, plans)
    first, given = plans[0], {plan.start_temperature_C for plan in plans}
    planned = {bench.start_temperature_C for bench in prediction.benches}
    above = planned.pop() - kit.room_temperature_C if len(given) == 1 and None not in given else None
    return Room(
        benches=kit.benches,
        runs=first.runs,
        masses_kg=tuple(plan.shot_mass_kg for plan in plans),
        heat_capacity_J_per_kg_K=kit.c,
        density_kg_per_m3=kit.density_kg_per_m3,
        heat_sink_J_per_K=kit.heat_sink_J_per_K,
        sink_spread=kit.sink_sd,
        leak_J_per_K_per_inversion=kit.leak_J_per_K_per_inversion,
        start_above_room_K=above,
        room_temperature_C=kit.room_temperature_C,
        technique_sd_bench=kit.technique_sd_bench,
        technique_sd_run=kit.technique_sd_run,
        run_counts=first.counts,
        thermometer_steps_K=tuple(plan.thermometer_step_K for plan in plans),
        reading_sd_K=kit.reading_sd_K,
        length_sd_m=kit.length_sd_m,
        tubes=tuple((plan.tube.length_m, plan.tube.bore_m) for plan in plans),
        caps_m=first.tube.caps_m if first.tube.bore_m is not None else first.tube.end_allowance_m - 0.03,
    )


def simulated_half_widths(setting: Setting, classes: int, seed: int) -> tuple[list[float], list[float]]:
    """Half-widths of the class value's and the separated interval, class by class."""
    kit, room = setting.kit, room_of(setting)
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
        readings = [
            RunReadings(**vars(run.recorded), thermometer_step_K=run.thermometer_step_K)
            for run in simulate_room(rng, room)
        ]
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
    of_class, of_separated = simulated_half_widths(setting, classes, seed)
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
