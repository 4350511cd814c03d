"""A reading lies on a mark of the scale that was read, or is said not to, in that scale."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.columns import columns
from app.analysis.doubt.inputs import Inputs
from app.analysis.readings import ClassSettings, RunReadings
from tests.analysis.classes import LEAD, perfect_runs
from tests.run_tables import read_run_table, write_run_table

RULE = "between-thermometer-marks"


def a_class(fahrenheit: str = "5", read_in: str = "°F") -> list[RunReadings]:
    """Twelve benches read to 0.1 °C; one of them reads its thermometer to 0.1 °F."""
    runs = []
    for run in perfect_runs():
        known = replace(run, start_read_in="°C", end_read_in="°C")
        known = replace(known, end_temperature_C=round(known.end_temperature_C, 1))
        runs.append(in_fahrenheit(run, read_in) if run.bench == fahrenheit else known)
    return runs


def in_fahrenheit(run: RunReadings, read_in: str) -> RunReadings:
    """t/°F = 1.8 t/°C + 32 (exact by definition), read to a tenth and stored in °C, as the records do."""
    start, end = (round(1.8 * t + 32, 1) for t in (run.start_temperature_C + 0.05, run.end_temperature_C))
    return replace(
        run,
        start_temperature_C=(start - 32) / 1.8,
        end_temperature_C=(end - 32) / 1.8,
        start_read_in=read_in,
        end_read_in=read_in,
    )


def between_marks(runs: list[RunReadings], settings: ClassSettings = LEAD) -> list[tuple[str, str]]:
    """Bench and sentence of each run that has a reading between marks among the reasons about its inputs."""
    inputs = Inputs(columns(runs, settings))
    return [
        (run.bench, str(flag.reason))
        for i, run in enumerate(runs)
        for flag in inputs.reasons(i)
        if flag.rule == RULE
    ]


def test_a_thermometer_without_a_step_has_no_marks_to_lie_between() -> None:
    assert between_marks(a_class(read_in="°C"), replace(LEAD, thermometer_step_K=0.0)) == []


def test_a_class_is_on_marks_by_the_runs_whose_thermometer_has_marks() -> None:
    """Two of four between marks are more than a tenth and one run; the other 14 have none to lie on."""
    ends = dict(enumerate((21.55, 21.45, 21.5, 21.4)))
    runs = [
        replace(run, end_temperature_C=ends.get(i, 21.4), thermometer_step_K=0.1 if i in ends else 0.0)
        for i, run in enumerate(perfect_runs([0.5] * 6))
    ]
    assert not Inputs(columns(runs, LEAD)).on_marks
    assert Inputs(columns([*runs[1:]], LEAD)).on_marks
    for count, between, on_marks in ((10, 2, True), (19, 3, False)):
        few = [
            replace(run, end_temperature_C=21.4 + 0.05 * (i < between), thermometer_step_K=0.1)
            for i, run in enumerate(perfect_runs([0.5] * 7)[:count])
        ]
        assert Inputs(columns(few, LEAD)).on_marks is on_marks, "a tenth and one run"
    fine = [replace(run, end_temperature_C=21.45, thermometer_step_K=0.05) for run in runs]
    assert Inputs(columns(fine, LEAD)).on_marks


def test_a_bench_that_reads_its_thermometer_in_fahrenheit_is_not_flagged() -> None:
    assert between_marks(a_class()) == []


def test_the_same_numbers_typed_as_celsius_are_flagged() -> None:
    found = between_marks(a_class(read_in="°C"))
    assert [bench for bench, _ in found] == ["5"] * 3
    assert "so one of these cannot have been read off" in found[0][1]


def test_a_run_table_does_not_know_the_scale_and_takes_a_mark_of_either() -> None:
    read = read_run_table(write_run_table(a_class()))
    assert {run.start_read_in for run in read} == {""}
    assert between_marks(read) == []
    off = [replace(run, end_temperature_C=21.85) if run.bench == "5" else run for run in read]
    assert between_marks(off), "71.33 °F: on neither scale"


def test_a_table_rounded_to_thousandths_of_a_degree_is_read_alike() -> None:
    """68.1 °F is 20.0555… °C and 70.6 °F is 21.4444… °C."""
    runs = [replace(run, start_read_in="", end_read_in="") for run in a_class(fahrenheit="none")]
    runs[4] = replace(runs[4], start_temperature_C=20.056, end_temperature_C=21.444)
    assert between_marks(runs) == []


def test_a_reading_between_the_marks_of_fahrenheit_is_said_in_fahrenheit() -> None:
    runs = a_class()
    at = next(i for i, run in enumerate(runs) if run.bench == "5")
    runs[at] = replace(runs[at], end_temperature_C=(70.47 - 32) / 1.8)
    ((bench, said),) = between_marks(runs)
    assert bench == "5"
    assert "and 70.47 °F: this bench's thermometer reads in steps of 0.1 °F" in said


def test_kelvins_have_marks_of_their_own() -> None:
    """294.6 K is 21.45 °C (0 °C is 273.15 K by definition)."""
    runs = a_class(fahrenheit="none")
    runs[4] = replace(runs[4], end_temperature_C=294.6 - 273.15, end_read_in="K")
    assert between_marks(runs) == []
    runs[4] = replace(runs[4], end_read_in="°C")
    assert len(between_marks(runs)) == 1


def test_a_bench_with_its_own_thermometer_is_judged_by_the_marks_of_that_one() -> None:
    """Bench 5 reads 0.01 °C where the class reads 0.1 °C, or 0.5 °C."""
    runs = a_class(read_in="°C")
    fine = [replace(run, thermometer_step_K=0.01) if run.bench == "5" else run for run in runs]
    read = [
        replace(
            run,
            **{name: round(getattr(run, name), 2) for name in ("start_temperature_C", "end_temperature_C")},
        )
        for run in fine
    ]
    assert between_marks(read) == []
    coarse = [replace(run, thermometer_step_K=0.5) if run.bench == "3" else run for run in read]
    (found, *_) = between_marks(coarse)
    assert found[0] == "3"
    assert "in steps of 0.5 °C" in found[1]


@pytest.mark.parametrize("step", [0.1, 0.2, 0.5, 1.0])
def test_a_whole_class_in_fahrenheit_is_not_flagged(step: float) -> None:
    runs = []
    for run in perfect_runs(inversions=100.0):
        start, end = (round((1.8 * t + 32) / step) * step for t in (20.0, run.end_temperature_C))
        runs.append(
            replace(
                run,
                start_temperature_C=(start - 32) / 1.8,
                end_temperature_C=(end - 32) / 1.8,
                start_read_in="°F",
                end_read_in="°F",
            )
        )
    settings = ClassSettings(accepted_J_per_kg_K=127.4, thermometer_step_K=step)
    for known in (runs, [replace(run, start_read_in="", end_read_in="") for run in runs]):
        assert between_marks(known, settings) == []


def test_fahrenheit_typed_as_celsius_is_still_suspected() -> None:
    runs = a_class()
    slipped = replace(runs[0], start_temperature_C=68.0, end_temperature_C=70.6)
    found = analyse_class([slipped, *runs[1:]], LEAD).runs[0].suspected_slip
    assert found is not None
    assert found.slip == "fahrenheit"


def test_two_digits_that_changed_places_are_sought_on_the_scale_that_was_read() -> None:
    """70.6 °F became 76.0 °F: no exchange of digits in °C leads back."""
    runs = a_class(fahrenheit="1")
    assert runs[0].end_temperature_C == pytest.approx((70.6 - 32) / 1.8)
    runs[0] = replace(runs[0], end_temperature_C=(76.0 - 32) / 1.8)
    found = analyse_class(runs, LEAD).runs[0].suspected_slip
    assert found is not None
    assert (found.slip, found.field) == ("digits-swapped", "end_temperature_C")
    assert found.corrected == pytest.approx((70.6 - 32) / 1.8)
    assert "70.6 °F instead of 76 °F" in str(found.sentence)
