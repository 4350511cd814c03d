"""A run has its interval, or a reason that is true of the interval that it would have."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, isnan

from app.analysis.analyse import analyse_class
from app.analysis.readings import RunReadings
from app.analysis.results import RunResult
from app.physics.uncertainty import apparent_heat_capacities
from tests.analysis.classes import LEAD

RUN = RunReadings("1", "1", 0.4, 1.0, 0.08, 50.0, 20.0, 22.0)
SETTINGS = replace(LEAD, length_sd_m=0.002)


def _result(run: RunReadings) -> RunResult:
    (result,) = analyse_class([run], SETTINGS).runs
    return result


def _fieller(run: RunReadings) -> tuple[float, float]:
    found = apparent_heat_capacities(
        run.tube_length_m,
        run.end_allowance_m,
        run.inversions,
        run.start_temperature_C,
        run.end_temperature_C,
        thermometer_step_K=SETTINGS.thermometer_step_K,
        # One run of one bench: the technique that is usual, 3 % between benches and 2 % between runs.
        u_technique=hypot(0.03, 0.02),
        u_length_m=SETTINGS.length_sd_m,
    )
    return float(found.low_95_J_per_kg_K), float(found.high_95_J_per_kg_K)


def test_a_run_with_a_fall_and_a_warming_has_an_interval() -> None:
    assert _result(RUN).interval_95 == _fieller(RUN)
    assert _result(RUN).interval_absent_because is None


def test_a_fall_that_could_be_nothing_leaves_the_interval_without_a_lower_end() -> None:
    short = replace(RUN, end_allowance_m=0.9965)
    low, high = _fieller(short)
    assert low < 0 < high  # c* itself cannot be below zero
    assert _result(short).interval_95 is None
    assert "no lower end" in str(_result(short).interval_absent_because)


def test_a_warming_that_could_be_nothing_leaves_the_interval_without_an_upper_end() -> None:
    cool = replace(RUN, end_temperature_C=20.05)
    assert isnan(_fieller(cool)[1])
    assert _result(cool).interval_95 is None
    assert "no upper end" in str(_result(cool).interval_absent_because)
