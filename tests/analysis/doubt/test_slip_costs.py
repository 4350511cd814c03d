"""What a suspected slip is weighed by, piece by piece."""

from __future__ import annotations

from dataclasses import replace
from math import log
from typing import Any

import pytest

from app.analysis.columns import columns
from app.analysis.doubt import slips
from app.analysis.doubt.slips import (
    _cost,
    _explains_less,
    _far,
    _goes_far,
    _is_possible,
    _named,
    _nearer,
    _repeated,
    _same_correction,
    _with_the_same_slip,
    suspected_slip,
)
from app.analysis.doubt.undone import Undone, scales_of
from app.analysis.doubt.usual import MEASURES, Usual, of_class, of_plan
from app.analysis.fit.another_run import Standing
from app.analysis.readings import RunReadings
from app.analysis.results import SuspectedSlip
from tests.analysis.classes import LEAD

RUN = RunReadings("1", "1", 0.5, 1.0, 0.25, 50.0, 20.0, 22.0)
USUAL: tuple[Usual, ...] = (
    *(of_plan(measure, one) for measure, one in zip(MEASURES[:3], (0.5, 1.0, 50.0), strict=True)),
    of_class(MEASURES[3], [20.0] * 3),
)
"""What the bench was planned to do, and where the class started."""


def an_attempt(slip: str, field: str, value: float) -> Undone:
    change: dict[str, Any] = {field: value}
    return Undone(slip, field, replace(RUN, **change))


def standing(log_evidence: float, log_at_home: float = 0.0) -> Standing:
    return Standing(0.9, 0.9, log_at_home, log_evidence)


@pytest.mark.parametrize(("evidence", "less"), [(-4.0, False), (-5.0, False), (-5.1, True), (-3.0, False)])
def test_a_correction_may_explain_the_bench_a_little_less_well(evidence: float, less: bool) -> None:
    """By 1 in ln: our own choice. A forgotten allowance is not held to it."""
    assert (
        _explains_less(an_attempt("mass-unit", "shot_mass_kg", 1.0), standing(evidence), standing(-4.0))
        is less
    )
    forgotten = an_attempt("end-allowance-forgotten", "end_allowance_m", 0.08)
    assert not _explains_less(forgotten, standing(evidence), standing(-4.0))


def test_every_reading_far_from_the_bench_s_own_counts_and_the_allowance_as_one() -> None:
    """A quarter from the plan, ten kelvins from the class, half as much again as the usual allowance."""
    assert _far(RUN, USUAL, 0.25) == 0
    assert _far(replace(RUN, end_allowance_m=0.375), USUAL, 0.25) == 0
    assert _far(replace(RUN, end_allowance_m=0.38), USUAL, 0.25) == 1
    assert _far(replace(RUN, end_allowance_m=0.38), USUAL, None) == 0
    changed = replace(RUN, end_allowance_m=0.38, shot_mass_kg=0.7, inversions=70.0, start_temperature_C=31.0)
    assert _far(changed, USUAL, 0.25) == 4


def test_a_cost_is_twice_what_the_bench_says_and_what_its_own_count_and_length_say() -> None:
    """−2·(−3) = 6; a count 1.02 times the plan is log(1.02)/2 % off; one far off costs 9 and 20 more."""
    said = standing(0.0, log_at_home=-3.0)
    assert _cost(RUN, said, USUAL, 0.25) == pytest.approx(6.0)
    assert _cost(replace(RUN, inversions=51.0), said, USUAL, 0.25) == pytest.approx(
        6.0 + (log(1.02) / 0.02) ** 2
    )
    assert _cost(replace(RUN, tube_length_m=1.02), said, USUAL, 0.25) == pytest.approx(
        6.0 + (log(1.02) / 0.02) ** 2
    )
    assert _cost(replace(RUN, shot_mass_kg=0.51), said, USUAL, 0.25) == pytest.approx(6.0), (
        "masses are planned"
    )
    assert _cost(replace(RUN, inversions=70.0), said, USUAL, 0.25) == pytest.approx(6.0 + 9.0 + 20.0)


def test_a_correction_goes_far_by_the_readings_that_it_changes() -> None:
    assert _goes_far(RUN, replace(RUN, inversions=100.0), USUAL, 0.25)
    assert not _goes_far(RUN, replace(RUN, inversions=60.0), USUAL, 0.25)
    assert _goes_far(RUN, replace(RUN, end_allowance_m=0.38), USUAL, 0.25)
    far = replace(RUN, inversions=100.0, end_allowance_m=0.38)
    assert not _goes_far(far, replace(far, shot_mass_kg=0.51), USUAL, 0.25)


@pytest.mark.parametrize(
    ("before", "after", "nearer"),
    [
        (0.0, 0.25, True),
        (0.0, 0.37, True),
        (0.0, 0.375, False),  # half of the usual
        (0.1875, 0.3125, False),  # as far on the other side
        (0.1875, 0.3, True),
    ],
)
def test_an_allowance_is_corrected_to_one_that_is_nearer_to_the_usual(
    before: float, after: float, nearer: bool
) -> None:
    attempt = an_attempt("end-allowance-forgotten", "end_allowance_m", after)
    assert _nearer(replace(RUN, end_allowance_m=before), attempt, USUAL, 0.25) is nearer
    assert not _nearer(replace(RUN, end_allowance_m=before), attempt, USUAL, None)


@pytest.mark.parametrize(
    ("before", "after", "nearer"),
    [
        (100.0, 50.0, True),
        (50.0, 57.0, True),  # log(1.14) is within six tenths of log(1.25)
        (50.0, 57.5, False),
        (100.0, 60.0, True),
        (60.0, 100.0, False),
    ],
)
def test_a_count_is_corrected_to_one_at_home_or_nearer(before: float, after: float, nearer: bool) -> None:
    attempt = an_attempt("digits-swapped", "inversions", after)
    assert _nearer(replace(RUN, inversions=before), attempt, USUAL, None) is nearer
    assert _nearer(replace(RUN, inversions=before), attempt, (), None), "where nothing is usual"


def test_the_digits_of_a_mass_are_doubted_where_it_is_far_off_only() -> None:
    for mass, doubted in ((0.55, False), (0.7, True)):
        run = replace(RUN, shot_mass_kg=mass)
        assert _nearer(run, an_attempt("digits-swapped", "shot_mass_kg", 0.5), USUAL, None) is doubted
        assert _nearer(run, an_attempt("mass-unit", "shot_mass_kg", 0.5), USUAL, None)


def test_two_slips_that_come_to_the_same_reading_are_no_rivals() -> None:
    """To half a percent: our own choice."""
    one = an_attempt("inversions-halved", "inversions", 100.0)
    assert _same_correction(one, an_attempt("digits-swapped", "inversions", 100.5))
    assert not _same_correction(one, an_attempt("digits-swapped", "inversions", 100.52))
    assert not _same_correction(one, an_attempt("digits-swapped", "tube_length_m", 100.0))


def test_a_slip_that_is_carried_over_is_undone_in_the_bench_s_other_runs_too() -> None:
    """Where they have the same reading, and for a count also where it is within a quarter of it."""
    run = replace(RUN, inversions=25.0, shot_mass_kg=500.0)
    of_mates = ((25.0, 500.0), (24.0, 0.5), (19.0, 500.0))
    mates = [replace(run, inversions=count, shot_mass_kg=mass) for count, mass in of_mates]
    halved = Undone("inversions-halved", "inversions", replace(run, inversions=50.0))
    found = [[mate.inversions for mate in others] for others in _with_the_same_slip(run, mates, halved)]
    assert found == [[50.0, 24.0, 19.0], [50.0, 48.0, 19.0]]
    doubled = Undone("inversions-doubled", "inversions", replace(run, inversions=12.5))
    found = [[mate.inversions for mate in others] for others in _with_the_same_slip(run, mates, doubled)]
    assert found == [[12.5, 24.0, 19.0], [12.5, 12.0, 19.0]]
    in_grams = Undone("mass-unit", "shot_mass_kg", replace(run, shot_mass_kg=0.5))
    found = [[mate.shot_mass_kg for mate in others] for others in _with_the_same_slip(run, mates, in_grams)]
    assert found == [[0.5, 0.5, 0.5]]
    of_one_run = Undone("digits-swapped", "inversions", replace(run, inversions=52.0))
    assert list(_with_the_same_slip(run, mates, of_one_run)) == [mates]


def test_a_run_is_possible_with_shot_that_falls_and_turns() -> None:
    assert _is_possible(RUN)
    assert _is_possible(replace(RUN, end_allowance_m=0.0, shot_mass_kg=0.001))
    assert _is_possible(replace(RUN, end_allowance_m=0.95, inversions=0.05))
    for change in (
        {"shot_mass_kg": 0.0009}, {"shot_mass_kg": 25.1}, {"end_allowance_m": -0.01},
        {"end_allowance_m": 1.0}, {"inversions": 0.0},
    ):  # fmt: skip
        given: dict[str, Any] = change
        assert not _is_possible(replace(RUN, **given)), change


def test_a_reading_that_another_run_has_too_is_repeated() -> None:
    mates = [replace(RUN, inversions=48.0), replace(RUN, inversions=52.0)]
    assert not _repeated(RUN, mates, "inversions")
    assert _repeated(RUN, [*mates, replace(RUN, shot_mass_kg=0.4)], "inversions")
    assert not _repeated(RUN, [], "inversions")


@pytest.mark.parametrize("field", ["shot_mass_kg", "inversions", "end_temperature_C"])
def test_a_reading_beyond_all_measure_has_no_slip(field: str) -> None:
    """Readings are held to 10¹²; neither the fit nor what is usual is asked."""
    change: dict[str, Any] = {field: 1e15}
    nothing: Any = None
    assert suspected_slip(0, columns([replace(RUN, **change)], LEAD), nothing, nothing, LEAD) is None


def test_a_slip_is_named_with_the_digits_that_were_typed(monkeypatch: pytest.MonkeyPatch) -> None:
    """An inch is 2.54 cm; e = g·h·50 over 2.0123 K, and over the 1.5 K that the class would have."""
    monkeypatch.setattr(slips, "expected_of", lambda _fit, _run: 1.5)
    run = replace(RUN, tube_length_m=0.39412345, start_temperature_C=20.1234, end_temperature_C=22.1357)
    fit: Any = None

    def named(slip: str, field: str, **becomes: float) -> SuspectedSlip:
        change: dict[str, Any] = becomes
        found = _named(run, Undone(slip, field, replace(run, **change)), fit, LEAD, scales_of(run))
        assert found is not None
        assert found.readings == replace(run, **change)
        return found

    inches = named("length-unit", "tube_length_m", tube_length_m=0.39412345 * 2.54)
    e = 9.80665 * (0.39412345 * 2.54 - 0.25) * 50
    assert (inches.field, inches.as_entered) == ("tube_length_cm", pytest.approx(39.412345))
    assert inches.corrected == pytest.approx(39.412345 * 2.54)
    assert inches.apparent_heat_capacity_J_per_kg_K == pytest.approx(e / 2.0123)
    assert inches.sentence.values == {
        "entered": "39.4123", "corrected": "100.1", "start": "20.12", "end": "22.14",
        "apparent": f"{e / 2.0123:.0f}", "usual": f"{e / 1.5:.0f}",
    }  # fmt: skip
    exchanged = named("digits-swapped", "tube_length_m", tube_length_m=0.93412345)
    assert exchanged.sentence.values["corrected"] == "93.4123"
    no_warming: dict[str, Any] = {"end_temperature_C": 20.1234}
    cold = Undone("digits-swapped", "end_temperature_C", replace(run, **no_warming))
    assert _named(run, cold, fit, LEAD, scales_of(run)) is None
