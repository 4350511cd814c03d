"""Made-up classes with a known shape, for looking at figures and checking what they plot.

The results are worked out in the plainest way (means, one standard error); figures only need the shape.
"""

from __future__ import annotations

import math
import random
import statistics
from dataclasses import replace

from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import (
    BenchSummary,
    ClassResult,
    ClassValue,
    Flag,
    HeatLedger,
    LineFit,
    MassLevel,
    RunResult,
    Separated,
    Spread,
)
from app.words import Message

C_SHOT, SINK_J_PER_K = 128.0, 18.0
SETTINGS = ClassSettings(accepted_J_per_kg_K=127.37, accepted_source="made up for this test")
ODD = Flag("odd", Message("Far from the class."))


def a_run(
    bench: int | str,
    run: int | str = 1,
    *,
    mass: float = 0.5,
    warming: float | None = None,
    inversions: int = 50,
    step: float = 0.1,
    noise: float = 0.0,
) -> RunReadings:
    """One run whose warming follows from the energy balance, rounded to the thermometer's step."""
    fall = 0.92
    if warming is None:
        energy = 9.80665 * fall * inversions
        warming = mass * energy / (mass * C_SHOT + SINK_J_PER_K) + noise
    return RunReadings(
        bench=str(bench),
        run=str(run),
        shot_mass_kg=mass,
        tube_length_m=1.0,
        end_allowance_m=0.08,
        inversions=inversions,
        start_temperature_C=20.0,
        end_temperature_C=round(20.0 + round(warming / step) * step, 6),
    )


def a_class(
    benches: int = 12,
    runs_each: int = 2,
    *,
    masses: tuple[float, ...] = (0.25, 0.5, 1.0),
    step: float = 0.1,
    scatter: float = 0.12,
    same_inversions: bool = False,
) -> list[RunReadings]:
    """A class with planned masses and a fixed seed."""
    rng = random.Random(7)
    return [
        a_run(
            bench,
            run,
            mass=masses[bench % len(masses)],
            step=step,
            noise=rng.gauss(0, scatter),
            inversions=50 if same_inversions else 40 + 10 * (bench % 3),
        )
        for bench in range(1, benches + 1)
        for run in range(1, runs_each + 1)
    ]


def set_aside(run: RunReadings) -> RunReadings:
    """The same run, set aside."""
    return replace(run, set_aside=True)


def worked_out(runs: list[RunReadings], settings: ClassSettings = SETTINGS) -> ClassResult:
    """A class result of the right shape."""
    raw = [_one(run, settings) for run in runs]
    values = [r.apparent_heat_capacity_J_per_kg_K for r in raw if not r.readings.set_aside]
    known = [value for value in values if value is not None]
    middle = statistics.median(known) if known else math.nan
    results = tuple(_flagged(run, middle) for run in raw)
    benches = _benches(results)
    reason = None if known else Message("No run has a value yet.")
    value = _class_value(known, len(benches), settings) if known else None
    masses = {run.shot_mass_kg for run in runs}
    told_apart = len(masses) > 1 and bool(known)
    return ClassResult(
        settings=settings,
        runs=results,
        benches=benches,
        class_value=value,
        class_value_absent_because=reason,
        class_value_without_flagged=value,
        estimates=(),
        spread=Spread(4.0, 6.0, 7.2),
        line=_line(results) if known else None,
        separated=Separated(
            True, Message("told apart"), 131.0, (122.0, 141.0), 17.5, (14.0, 21.0), 2.85, True
        )
        if told_apart
        else Separated(False, Message("Every bench used the same mass of shot.")),
        levels=_levels(results),
        ledger=HeatLedger(0.78, 0.03, 0.19, 0.02, 0.03, 0.036, Message("from the fit"))
        if told_apart
        else None,
    )


def _levels(results: tuple[RunResult, ...]) -> tuple[MassLevel, ...]:
    """One for each mass; a value is the mean of its runs'."""
    own: dict[float, list[RunResult]] = {}
    for run in results:
        if run.apparent_heat_capacity_J_per_kg_K is not None:
            own.setdefault(run.readings.shot_mass_kg, []).append(run)
    found = []
    for mass in sorted(own):
        mean = statistics.mean(run.apparent_heat_capacity_J_per_kg_K or 0.0 for run in own[mass])
        benches = tuple(dict.fromkeys(run.readings.bench for run in own[mass]))
        found.append(MassLevel(mass, benches, mean, (0.97 * mean, 1.03 * mean)))
    return tuple(found)


def _one(run: RunReadings, settings: ClassSettings) -> RunResult:
    fall = run.tube_length_m - run.end_allowance_m
    energy = settings.gravity_m_per_s2 * fall * run.inversions
    warming = round(run.end_temperature_C - run.start_temperature_C, 9)
    value = energy / warming if warming > 0 else None
    return RunResult(
        run, fall, energy, warming, 0.041, value, value * 0.041 / warming if value else None, None
    )


def _flagged(run: RunResult, middle: float) -> RunResult:
    value = run.apparent_heat_capacity_J_per_kg_K
    return replace(run, flags=(ODD,)) if value is None or abs(value - middle) > 0.3 * middle else run


def _benches(results: tuple[RunResult, ...]) -> tuple[BenchSummary, ...]:
    own: dict[str, list[RunResult]] = {}
    for run in results:
        if not run.readings.set_aside:
            own.setdefault(run.readings.bench, []).append(run)
    return tuple(
        BenchSummary(
            bench,
            len(runs),
            statistics.mean(run.readings.shot_mass_kg for run in runs),
            statistics.mean(values)
            if (values := [v for run in runs if (v := run.apparent_heat_capacity_J_per_kg_K) is not None])
            else None,
            3.0,
        )
        for bench, runs in own.items()
    )


def _class_value(known: list[float], benches: int, settings: ClassSettings) -> ClassValue:
    mean, accepted = statistics.mean(known), settings.accepted_J_per_kg_K
    error = (mean / accepted - 1) * 100
    if benches < 3:
        return ClassValue(mean, None, "paule-mandel", len(known), benches, error, accepted, None)
    half = 2.2 * statistics.stdev(known) / math.sqrt(len(known))
    inside = mean - half <= accepted <= mean + half
    return ClassValue(
        mean,
        (mean - half, mean + half),
        "paule-mandel",
        len(known),
        benches,
        error,
        accepted,
        inside,
        ((mean - half) / accepted * 100 - 100, (mean + half) / accepted * 100 - 100),
    )


def _line(results: tuple[RunResult, ...]) -> LineFit:
    counted = [run for run in results if not run.readings.set_aside]
    slope = sum(r.specific_energy_J_per_kg * r.warming_K for r in counted) / sum(
        r.specific_energy_J_per_kg**2 for r in counted
    )
    return LineFit(slope, slope / 50, 1 / slope, 0.1, 0.2, slope, slope)
