"""From which reading on a run's inputs are far from what is usual, for every measure, and said how."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log
from typing import Any

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.doubt.impossible import impossible_runs
from app.analysis.doubt.inputs import Inputs
from app.analysis.doubt.thermometer_marks import off_mark
from app.analysis.doubt.usual import (
    MEASURES,
    Measure,
    of_bench,
    of_class,
    of_plan,
    scatter_within,
    scattered,
)
from app.analysis.readings import RunReadings
from tests.analysis.classes import LEAD, perfect_runs

BY_NAME = {measure.name: measure for measure in MEASURES}
RATIOS = [measure for measure in MEASURES if measure.ratio]


@pytest.mark.parametrize("measure", RATIOS, ids=lambda one: one.name)
def test_a_reading_a_quarter_from_its_plan_is_not_far_and_one_beyond_is(measure: Measure) -> None:
    plan = of_plan(measure, 0.4)
    assert not plan.is_far(0.4 * 1.2499)
    assert plan.is_far(0.4 * 1.2501)
    assert not plan.is_far(0.4 / 1.2499)
    assert plan.is_far(0.4 / 1.2501)
    assert plan.bounds == pytest.approx((0.32, 0.5))
    assert plan.surprise(0.4 * exp(0.04)) == pytest.approx(4.0), "two spreads of 2 %"


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("mass", 3.0, 6.0), ("length", 1.5, 2.0), ("inversions", 1.8, 3.0)],
)
def test_the_class_is_left_by_a_factor_that_grows_with_its_scatter(
    name: str, least: float, most: float
) -> None:
    """From planned masses that differ fourfold to a count that is doubled: our own choices."""
    alike = of_class(BY_NAME[name], [0.5] * 9)
    assert alike.value == pytest.approx(0.5)
    assert alike.bounds == pytest.approx((0.5 / least, 0.5 * least))
    assert alike.spread == 0.01
    wild = of_class(BY_NAME[name], [0.5 * exp(k) for k in (-2, -1, 0, 1, 2)])
    assert wild.bounds == pytest.approx((0.5 / most, 0.5 * most))
    assert wild.spread == pytest.approx(1 / 0.6745)


def test_between_these_it_is_three_and_a_half_robust_deviations() -> None:
    """Iglewicz and Hoaglin (1993): 0.6745·|x − median|/MAD beyond 3.5."""
    between = of_class(BY_NAME["mass"], [0.5 * exp(0.25 * k) for k in (-2, -1, 0, 1, 2)])
    assert between.limit == pytest.approx(3.5 * 0.25 / 0.6745)


def test_a_start_is_held_against_the_class_in_kelvins() -> None:
    alike = of_class(BY_NAME["start-temperature"], [19.0, 20.0, 21.0])
    assert alike.bounds == (10.0, 30.0)
    assert alike.away(17.5) == -2.5
    assert not alike.is_far(30.0)
    assert alike.is_far(30.1)
    assert of_class(BY_NAME["start-temperature"], [0.0, 20.0, 40.0]).bounds == (0.0, 40.0)
    assert of_class(BY_NAME["start-temperature"], [17.5, 20.0, 22.5]).limit == pytest.approx(
        3.5 * 2.5 / 0.6745
    )


def test_a_bench_s_own_runs_set_a_limit_that_is_wider_where_they_are_few_or_differ() -> None:
    mass = BY_NAME["mass"]
    alike = of_bench(mass, np.array([0.5, 0.5, 0.5]), 0.0)
    assert (alike.value, alike.limit, alike.spread) == (0.5, pytest.approx(log(1.25)), 0.02)
    differing = np.array([0.5 * exp(k * 0.1) for k in (-1, 0, 1)])
    assert of_bench(mass, differing, 0.0).limit == pytest.approx((1 + 2 / 3) * 3.5 * 0.1 / 0.6745)
    assert of_bench(mass, differing, 0.0).spread == pytest.approx(0.1 / 0.6745)
    four = np.array([0.5 * exp(k * 0.1) for k in (-1, -1, 1, 1)])
    assert of_bench(mass, four, 0.0).limit == pytest.approx((1 + 2 / 4) * 3.5 * 0.1 / 0.6745)
    in_a_scattered_class = of_bench(mass, np.array([0.5, 0.5]), 0.2)
    assert in_a_scattered_class.limit == pytest.approx(3.5 * 0.2)
    assert in_a_scattered_class.spread == 0.2
    assert of_bench(mass, np.array([0.1, 0.5, 2.5]), 0.0).limit == pytest.approx(log(6.0))


def test_runs_a_quarter_apart_are_scattered_and_one_run_says_nothing_of_scatter() -> None:
    assert not scattered(np.array([0.4, 0.45, 0.4999]))
    assert scattered(np.array([0.4, 0.45, 0.5001]))
    pair = np.array([1.0, exp(0.2)])  # sd = 0.2/√2
    assert scatter_within([pair, np.array([1.0])]) == pytest.approx(0.2 / 2**0.5)
    assert scatter_within([np.array([1.0])]) == scatter_within([]) == 0.0


def test_nothing_is_far_from_a_plan_of_nothing() -> None:
    assert of_plan(BY_NAME["mass"], 0.0).away(0.5) == 0.0
    assert of_plan(BY_NAME["mass"], 0.08).away(0.16) == pytest.approx(log(2))


@pytest.mark.parametrize(("planned", "whose"), [(0.08, "plan"), (0.0, "bench"), (None, "bench")])
def test_a_plan_of_little_shot_is_a_plan_and_one_of_none_is_not(planned: float | None, whose: str) -> None:
    runs = a_class({0: {"planned_shot_mass_kg": planned, "shot_mass_kg": 0.081}})
    mass = Inputs(columns(runs, LEAD)).usual(0)[0]
    assert (mass.whose, mass.value) == (whose, planned or 0.5)


def a_class(changes: dict[int, dict[str, Any]]) -> list[RunReadings]:
    runs = perfect_runs([0.5] * 6)
    return [replace(run, **changes.get(i, {})) for i, run in enumerate(runs)]


def reasons(changes: dict[int, dict[str, Any]], of: int = 0) -> list[str]:
    return [str(flag.reason) for flag in Inputs(columns(a_class(changes), LEAD)).reasons(of)]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            {"shot_mass_kg": 0.0555},
            "The shot's mass, 55.5 g, is far from this bench's other runs (about 500 g).",
        ),
        (
            {"tube_length_m": 2.54},
            "The tube's length, 254 cm, is far from this bench's other runs (about 100 cm).",
        ),
        (
            {"inversions": 1234.0},
            "A count of 1234 is far from this bench's other runs (about 50 inversions).",
        ),
        (
            {"start_temperature_C": 35.25},
            "The start temperature, 35.2 °C, is far from the class's own (about 20 °C).",
        ),
    ],
)
def test_a_reading_that_is_far_is_said_in_the_unit_of_the_bench(change: dict[str, Any], said: str) -> None:
    assert said in reasons({0: change})


@pytest.mark.parametrize(
    ("of_one", "of_others", "is_odd"),
    [
        (0.24, 0.08, False),  # thrice
        (0.2401, 0.08, True),
        (0.07, 0.02, False),  # thrice, and not yet a twentieth of the tube more
        (0.0701, 0.02, True),
        (0.0, 0.05, False),  # nothing off where little is usual
        (0.0, 0.0501, True),
    ],
)
def test_an_end_allowance_is_odd_from_thrice_the_usual_and_a_twentieth_of_the_tube_on(
    of_one: float, of_others: float, is_odd: bool
) -> None:
    changes = {i: {"end_allowance_m": of_others} for i in range(18)} | {0: {"end_allowance_m": of_one}}
    inputs = Inputs(columns(a_class(changes), LEAD))
    found = [*inputs.forgotten_allowance(0), *inputs.reasons(0)]
    assert [flag.rule for flag in found] == (["end-allowance-far-from-class"] if is_odd else [])
    if is_odd and of_one:
        assert (
            f"{100 * of_one:.3g} cm, differs from what is usual here (about {100 * of_others:g} cm)"
            in str(found[0].reason)
        )


@pytest.mark.parametrize(("benches", "usual"), [(4, None), (5, 0.08)])
def test_an_allowance_is_usual_where_seven_benches_in_ten_take_one(benches: int, usual: float | None) -> None:
    """Of six benches four are 67 % and five 83 %; the bench itself takes none."""
    changes = {i: {"end_allowance_m": 0.0} for i in range(18) if i < 3 or i >= 3 + 3 * benches}
    inputs = Inputs(columns(a_class(changes), LEAD))
    assert inputs.usual_allowance(0) == usual
    if benches == 4:
        of_four = {i: {"end_allowance_m": 0.0} for i in range(3)}
        assert Inputs(columns(a_class(of_four)[:12], LEAD)).usual_allowance(0) == 0.08, "three of four"
    ten = [replace(run, end_allowance_m=0.08 * (i > 2)) for i, run in enumerate(perfect_runs([0.5] * 10, 1))]
    assert Inputs(columns(ten, LEAD)).usual_allowance(0) == 0.08


def test_the_scatter_within_benches_is_that_of_each_bench_about_itself() -> None:
    """Benches that double from one to the next, each with 100, 110 and 121 turns or twice as many."""
    changes = {i: {"inversions": 2.0 ** (i // 3) * (100, 110, 121)[i % 3]} for i in range(18)}
    changes[2] = {"inversions": 110.0}
    inversions = Inputs(columns(a_class(changes), LEAD)).usual(0)[2]
    assert (inversions.whose, inversions.value) == ("bench", 110.0)
    assert (inversions.spread, inversions.limit) == pytest.approx((log(1.1), 3.5 * log(1.1)))


def test_what_cannot_be_is_usual_for_nobody() -> None:
    """Of the bench's two other runs one is impossible: then the class is asked."""
    changes = {1: {"shot_mass_kg": 26.0}, 2: {"shot_mass_kg": 0.4}}
    mass = Inputs(columns(a_class(changes), LEAD)).usual(0)[0]
    assert (mass.whose, mass.value) == ("class", pytest.approx(0.5))


def test_a_long_tube_may_go_without_a_larger_allowance() -> None:
    """A twentieth of 2 m is 10 cm."""
    changes = {i: {"tube_length_m": 2.0, "end_allowance_m": 0.09} for i in range(18)}
    changes[0] = {"tube_length_m": 2.0, "end_allowance_m": 0.0}
    assert Inputs(columns(a_class(changes), LEAD)).forgotten_allowance(0) == []
    larger = {i: {"tube_length_m": 2.0, "end_allowance_m": 0.02 if i else 0.11} for i in range(18)}
    assert Inputs(columns(a_class(larger), LEAD)).reasons(0) == []


@pytest.mark.parametrize(("benches", "usual"), [(3, 0.5), (2, 0.3)])
def test_the_class_is_the_median_of_its_benches_and_below_three_of_its_runs(
    benches: int, usual: float
) -> None:
    one = a_class({})[0]
    many = [replace(one, run=str(k), shot_mass_kg=0.3) for k in range(5)]
    others = [replace(one, bench=str(k), shot_mass_kg=0.3 + 0.2 * k) for k in range(1, benches)]
    runs = [*(replace(run, bench="many") for run in many), *others]
    mass = Inputs(columns(runs, LEAD)).usual(5)[0]
    assert (mass.whose, mass.value) == ("class", pytest.approx(usual))


def test_a_bench_s_own_allowance_is_usual_before_the_class_s_where_it_takes_one_each_time() -> None:
    for of_others, usual in (((0.04, 0.06), 0.05), ((0.04, 0.0), 0.08)):
        changes = {i: {"end_allowance_m": one} for i, one in enumerate(of_others, 1)}
        assert Inputs(columns(a_class(changes), LEAD)).usual_allowance(0) == pytest.approx(usual)


@pytest.mark.parametrize(
    ("change", "rule", "said"),
    [
        ({"shot_mass_kg": 26.0}, "mass-impossible", "26000 g of shot is not possible"),
        ({"shot_mass_kg": 0.0009}, "mass-impossible", "0.9 g of shot is not possible"),
        ({"tube_length_m": 4.01}, "length-impossible", "A tube of 401 cm is not possible"),
        ({"tube_length_m": 10.494}, "length-impossible", "A tube of 1049 cm is not possible"),
        ({"tube_length_m": 12.345}, "length-impossible", "A tube of 1234 cm is not possible"),
        (
            {"end_allowance_m": -0.01},
            "end-allowance-impossible",
            "-1 cm is not possible: it is a length taken off",
        ),
        ({"end_allowance_m": 1.0}, "end-allowance-impossible", "100 cm leaves no fall in this tube."),
        ({"inversions": 10_001.0}, "inversions-impossible", "10001 inversions cannot be done in a lesson"),
        ({"inversions": 0.0}, "inversions-impossible", "0 inversions are not possible: count whole turns"),
        (
            {"inversions": 50.5},
            "inversions-impossible",
            "50.5 inversions are not possible: count whole turns",
        ),
        ({"start_temperature_C": 50.1}, "temperature-impossible", "50.1 °C cannot be the shot's temperature"),
        ({"end_temperature_C": 120.5}, "temperature-impossible", "120 °C cannot be the shot's temperature"),
    ],
)
def test_what_cannot_be_is_said_with_its_reading(change: dict[str, Any], rule: str, said: str) -> None:
    (found,) = impossible_runs(columns(a_class({0: change}), LEAD))[0]
    assert found.rule == rule
    assert said in str(found.reason)


@pytest.mark.parametrize(
    "change",
    [
        {"shot_mass_kg": 25.0},
        {"shot_mass_kg": 0.001},
        {"tube_length_m": 4.0},
        {"end_allowance_m": 0.0},
        {"inversions": 10_000.0},
        {"inversions": 1.0},
        {"start_temperature_C": 50.0},
        {"end_temperature_C": 120.0},
    ],
)
def test_the_last_reading_that_can_be_is_possible(change: dict[str, Any]) -> None:
    assert impossible_runs(columns(a_class({0: change}), LEAD)) == {}


@pytest.mark.parametrize(
    ("shown", "step", "is_off"),
    [
        (21.4, 0.1, False),
        (21.4019, 0.1, False),
        (21.4021, 0.1, True),
        (21.5, 0.2, True),
        (21.509, 0.5, False),
        (21.511, 0.5, True),
        (101.0, 50.0, False),  # a fiftieth to the last digit
        (21.55, 0.0, False),
        (float("nan"), 0.1, False),
    ],
)
def test_a_fiftieth_of_a_step_is_still_on_the_mark(shown: float, step: float, is_off: bool) -> None:
    assert off_mark(shown, step) is is_off
