"""A surplus of heat that a warm tube explains is told as such, and is no slip of the pen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.analysis.analyse import analyse_class
from app.analysis.doubt.warm_tube import FROM_LAST_RUN, FROM_ROOM, WARM_TUBE, of_warm_tubes
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ClassResult, Flag, RunResult
from tests.reference.published import STUDENT_REPORT
from tests.simulated_room import AS_LEFT, AT_ROOM, WITH_THE_SHOT, Room, simulate_room

SETTINGS = ClassSettings(accepted_J_per_kg_K=129.0, reading_sd_K=0.05)
CHILLED = Room(start_above_room_K=-3.0)
WARM = ("2", "7")


def class_with(tube_starts: str, seed: int = 2, **changes: object) -> list[RunReadings]:
    """Twelve benches with chilled shot, two of them with a tube that starts elsewhere."""
    made = [
        simulate_room(np.random.default_rng(seed), replace(CHILLED, tube_starts=where, **changes))  # type: ignore[arg-type]
        for where in (WITH_THE_SHOT, tube_starts)
    ]
    return [
        RunReadings(**vars((warm if right.recorded.bench in WARM else right).recorded))
        for right, warm in zip(*made, strict=True)
    ]


def analysed(runs: list[RunReadings]) -> ClassResult:
    return analyse_class(runs, SETTINGS)


def told(run: RunResult) -> list[Flag]:
    return [flag for flag in run.flags if flag.rule == WARM_TUBE]


@pytest.mark.parametrize("tube_starts", [AT_ROOM, AS_LEFT])
def test_runs_in_a_warm_tube_are_told_of_it_and_no_slip_is_named(tube_starts: str) -> None:
    result = analysed(class_with(tube_starts, seed=0))
    warm = [run for run in result.runs if run.readings.bench in WARM]
    assert [len(told(run)) for run in warm] == [1] * len(warm)
    assert [run.suspected_slip for run in warm] == [None] * len(warm)
    assert not any(told(run) for run in result.runs if run.readings.bench not in WARM)


def test_the_tube_is_warm_from_the_room_in_a_first_run_and_from_the_run_before_in_the_next() -> None:
    bench = [run for run in analysed(class_with(AS_LEFT, seed=0)).runs if run.readings.bench == "2"]
    said = [told(run)[0].reason.template for run in bench]
    assert said == [FROM_ROOM, FROM_LAST_RUN, FROM_LAST_RUN]


def test_the_reason_says_how_much_colder_the_shot_started_and_what_a_tube_gives() -> None:
    """Source: first law: a sink of 45 J/K that is d warmer adds C·d/(m·c + C), here with the fit's own c
    and C, so to a fifth."""
    runs = class_with(AS_LEFT, seed=0)
    result = analysed(runs)
    bench = [run for run in result.runs if run.readings.bench == "2"]
    below = bench[0].readings.end_temperature_C - bench[1].readings.start_temperature_C
    (flag,) = told(bench[1])
    assert flag.reason.values["below"] == f"{below:.2g}"
    shot = bench[1].readings.shot_mass_kg * 129.0
    assert flag.threshold == pytest.approx(45.0 * below / (shot + 45.0), rel=0.2)


def test_more_heat_than_a_warm_tube_gives_has_other_reasons() -> None:
    """A halved count doubles the warming; with tubes as cold as the shot nothing near it comes from them."""
    runs = class_with(WITH_THE_SHOT)
    at = next(i for i, run in enumerate(runs) if run.bench == "3")
    runs[at] = replace(runs[at], inversions=runs[at].inversions / 2)
    found = analysed(runs).runs[at]
    assert found.flags
    assert not told(found)
    assert found.suspected_slip is not None
    assert found.suspected_slip.slip == "inversions-halved"


def test_one_hot_run_of_a_class_still_has_its_slip_sought() -> None:
    """A warm tube explains one hot run as well as a slip does; no other run of the class speaks for it."""
    runs = class_with(WITH_THE_SHOT)
    at = next(i for i, run in enumerate(runs) if run.bench == "6" and run.run == "2")
    runs[at] = replace(runs[at], inversions=round(runs[at].inversions / 1.4))
    flags = {i: list(run.flags) for i, run in enumerate(analysed(runs).runs)}
    assert [flag.rule for flag in flags[at]][-1] == WARM_TUBE
    assert at not in of_warm_tubes(flags)


def test_without_room_and_run_before_nothing_is_said_of_the_tube() -> None:
    runs = [replace(run, room_temperature_C=None) for run in class_with(AT_ROOM, seed=0) if run.run == "1"]
    assert not any(told(run) for run in analysed(runs).runs)


def test_a_students_bench_in_a_class_is_told_of_the_tube_and_of_no_slip() -> None:
    """Source: the published student's report: aluminium, fall 0.9 m, shot chilled some 3 K below the room,
    tube not; it prints no mass. The other benches are simulated with
    aluminium of 897 J/(kg·K) (CRC Handbook)."""
    room = replace(
        CHILLED, benches=7, heat_capacity_J_per_kg_K=896.9, density_kg_per_m3=2700.0,
        masses_kg=(0.12, 0.2, 0.3), fewest_inversions=150, most_inversions=250, room_temperature_C=22.8,
    )  # fmt: skip
    made = simulate_room(np.random.default_rng(5), room)
    runs = [RunReadings(**vars(run.recorded)) for run in made]
    for number, (inversions, start, end) in enumerate(STUDENT_REPORT, 1):
        runs.append(
            RunReadings("8", str(number), 0.2, 0.98, 0.08, float(inversions), float(start), float(end), 22.8)
        )
    result = analyse_class(runs, replace(SETTINGS, material="aluminium", accepted_J_per_kg_K=896.9))
    students = [run for run in result.runs if run.readings.bench == "8"]
    assert [len(told(run)) for run in students] == [1, 0, 1]
    assert [run.suspected_slip for run in students] == [None, None, None]
