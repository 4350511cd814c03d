"""Advice for the next lesson follows from the class's own figures."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from app.analysis.of_the_fit import ClassBudgetLine
from app.analysis.results import ClassResult, RunResult
from app.web.board.report_advice import NOTHING, next_time
from app.words import Message
from tests.figures.classes import a_class, a_run, set_aside, worked_out


def _said(result: ClassResult) -> str:
    return " | ".join(map(str, next_time(result)))


def _with_runs(result: ClassResult, **changes: Any) -> ClassResult:
    return replace(result, runs=tuple(replace(run, **changes) for run in result.runs))


def _calm(benches: int = 12) -> ClassResult:
    result = worked_out(a_class(benches))
    return _with_runs(result, flags=())


def test_a_good_class_is_told_that_nothing_stands_out() -> None:
    assert next_time(_calm()) == (NOTHING,)


def test_a_class_without_runs_or_with_all_set_aside_gets_no_advice() -> None:
    assert next_time(worked_out([])) == ()
    assert next_time(worked_out([set_aside(run) for run in a_class(3)])) == ()


def test_one_mass_only_is_advised_against_in_the_fits_own_words() -> None:
    result = worked_out(a_class(12, masses=(0.5,)))
    assert next_time(result)[0] == result.separated.reason


def test_a_warming_known_worse_than_one_in_ten_asks_for_so_many_more_inversions() -> None:
    """50 inversions, 2.0 K ± 0.4 K: one in five; twice the inversions make it one in ten."""
    result = _with_runs(
        worked_out(
            [a_run(bench, run, warming=2.0, mass=0.1 * bench) for bench in range(1, 7) for run in (1, 2)]
        ),
        u_warming_K=0.4,
        flags=(),
    )
    assert "warmed by 2.0 K, known to ± 0.40 K: about 100 inversions instead of 50" in _said(result)


def test_what_makes_most_of_the_uncertainty_is_advised_against_in_the_fits_own_words() -> None:
    lines = tuple(
        ClassBudgetLine(source, Message(source), 1.0, share, Message(advice))
        for source, share, advice in (
            ("thermometer", 0.6, "Finer."), ("run-technique", 0.3, "Again."), ("gravity", 0.1, "Latitude.")
        )
    )  # fmt: skip
    assert next_time(replace(_calm(), class_budget=lines)) == (lines[0].advice, lines[1].advice)
    small = tuple(replace(line, share_of_variance=0.2) for line in lines)
    assert next_time(replace(_calm(), class_budget=small)) == (NOTHING,)


def test_shot_warmer_than_the_room_while_it_falls_is_to_start_colder() -> None:
    def in_room(run: RunResult, room: float) -> RunResult:
        return replace(run, readings=replace(run.readings, room_temperature_C=room))

    calm = _calm()
    warm = replace(calm, runs=tuple(in_room(run, 18.0) for run in calm.runs))
    cool = replace(calm, runs=tuple(in_room(run, 24.0) for run in calm.runs))
    assert "warmer than the room" in _said(warm)
    assert "warmer than the room" not in _said(cool)


def test_the_room_temperature_of_the_class_stands_for_the_runs_without_one() -> None:
    calm = _calm()
    assert not any(run.readings.room_temperature_C for run in calm.runs)
    warm, cool = (
        replace(calm, settings=replace(calm.settings, room_temperature_C=room)) for room in (18.0, 24.0)
    )
    assert "warmer than the room" in _said(warm)
    assert "warmer than the room" not in _said(cool)


def test_few_benches_single_runs_and_flags_are_each_named() -> None:
    result = worked_out([a_run(1), a_run(2, mass=1.0), a_run(3, mass=0.25, warming=1.0)])
    said = _said(result)
    assert "Benches with a value: 3." in said
    assert "a second run at each bench" in said
    assert "Runs flagged: 1 of 3" in said


def test_a_thermometer_that_reads_too_high_makes_no_warm_shot_of_a_cool_one() -> None:
    """Warm by 3 °C too much on every thermometer, as ice shows; a room read on the same one is so, too."""

    def high(run: RunResult, own_room: float | None) -> RunResult:
        readings = replace(run.readings, ice_point_C=3.0, room_temperature_C=own_room)
        return replace(run, readings=readings)

    calm = _calm()
    middle = calm.runs[0].readings.start_temperature_C + calm.runs[0].warming_K / 2
    calm = replace(calm, settings=replace(calm.settings, room_temperature_C=middle - 2.5))
    assert "warmer than the room" in _said(calm)
    told = replace(calm, runs=tuple(high(run, None) for run in calm.runs))
    assert "warmer than the room" not in _said(told)
    own = replace(calm, runs=tuple(high(run, middle - 2.5) for run in calm.runs))
    assert "warmer than the room" in _said(own)
