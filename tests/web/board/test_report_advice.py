"""Advice for the next lesson follows from the class's own figures."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from app.analysis.results import ClassBudgetLine, ClassResult, RunResult, WithWiderPriors
from app.exports.papers.report_parts import Abreast, Paragraph, Section
from app.web.board.report_advice import NOTHING, next_time, run_value, typical_run, uncertainty
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
    assert "Runs flagged: 1 of 3. Let a second person read every figure back" in said


@pytest.mark.parametrize(("above", "said"), [(0.29, False), (0.31, True)])
def test_three_tenths_of_a_kelvin_above_the_room_is_no_leak_worth_a_word(above: float, said: bool) -> None:
    """The mean of start and end against the room: a run from 20 to 22 °C is at 21 °C."""
    runs = [a_run(bench, warming=2.0, mass=0.1 * bench) for bench in range(1, 7)]
    result = _with_runs(worked_out(runs), flags=())
    warm = tuple(
        replace(run, readings=replace(run.readings, room_temperature_C=21.0 - above)) for run in result.runs
    )
    assert (f"on average {above:.2f} K warmer" in _said(replace(result, runs=warm))) is said
    assert ("warmer than the room" in _said(replace(result, runs=warm))) is said


@pytest.mark.parametrize(("u", "said"), [(0.2, False), (0.201, True), (0.0, False)])
def test_a_warming_known_to_a_tenth_asks_for_no_more_inversions(u: float, said: bool) -> None:
    runs = [a_run(bench, warming=2.0, mass=0.1 * bench) for bench in range(1, 7)]
    assert ("would bring the uncertainty down" in _said(_with_runs(worked_out(runs), u_warming_K=u))) is said


def test_a_quarter_of_the_variance_is_a_large_share_and_two_are_advised_against_at_most() -> None:
    for share, said in ((0.25, 2), (0.249, 0)):
        lines = tuple(
            ClassBudgetLine(name, Message(name), 1.0, share, Message(f"{name} helps.")) for name in "abc"
        )
        assert _said(replace(_calm(), class_budget=lines)).count("helps.") == said


def test_five_benches_are_enough_and_two_runs_at_most_of_them() -> None:
    assert "Benches with a value" not in _said(_calm(5))
    assert "Benches with a value: 4." in _said(_calm(4))
    twice = [a_run(bench, run, mass=0.1 * bench) for bench in range(1, 7) for run in (1, 2)]
    assert "a second run" not in _said(worked_out(twice))
    once = [run for run in twice if run.run == "1" or run.bench in ("1", "2")]
    assert "a second run" in _said(worked_out(once))


def test_the_typical_run_is_the_one_whose_warming_is_nearest_the_median() -> None:
    runs = worked_out([a_run(1, warming=1.0), a_run(2, warming=2.4), a_run(3, warming=2.0)]).runs
    assert typical_run(list(runs)).readings.bench == "3"
    assert run_value(runs[0]) == "451 ± 18"
    assert run_value(replace(runs[0], apparent_heat_capacity_J_per_kg_K=None)) == "–"


def test_the_budget_of_the_class_has_two_digits_whole_percents_and_what_helps() -> None:
    lines = (
        ClassBudgetLine("a", Message("benches differ"), 5.456, 0.812, Message("More benches.")),
        ClassBudgetLine("room", Message("room"), 0.5044, 0.188, Message("Read the room.")),
    )
    result = replace(_calm(), class_budget=lines, room_is_known=False)
    section = uncertainty(result)
    tables = section.blocks[0]
    assert isinstance(tables, Abreast)
    numbers = tables.tables[0]
    assert [tuple(map(str, row)) for row in numbers.rows] == [
        ("benches differ", "5.5", "81"),
        ("room", "0.50", "19"),
    ]
    assert _words(section)[-2:] == ["More benches.", "Read the room."]
    known = uncertainty(replace(result, room_is_known=True))
    assert _words(known)[-1] == "More benches."
    assert "More benches." not in _words(uncertainty(replace(result, class_budget=())))
    assert uncertainty(replace(result, class_budget=(), runs=())).blocks == ()


def test_what_wider_assumptions_would_move_is_said_of_the_figure_that_the_class_has() -> None:
    wider = WithWiderPriors(126.0, (120.0, 133.0), -1.53, 140.0, (137.0, 143.0), 0.26)
    line = ClassBudgetLine("a", Message("benches differ"), 5.0, 0.8, Message("More benches."))
    calm = replace(_calm(), class_budget=(line,), with_wider_priors=wider)
    apart = replace(calm, separated=replace(calm.separated, identifiable=True))
    assert "twice as wide, the specific heat capacity would move by −1.5 %." in _words(uncertainty(apart))[-1]
    one = replace(calm, separated=replace(calm.separated, identifiable=False))
    assert "twice as wide, the class value would move by 0.3 %." in _words(uncertainty(one))[-1]


def _words(section: Section) -> list[str]:
    return [str(block.words) for block in section.blocks if isinstance(block, Paragraph)]


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
