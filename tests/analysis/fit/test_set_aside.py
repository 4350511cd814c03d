"""Setting a run or a bench aside by weighting the draws anew agrees with fitting the class again."""

from __future__ import annotations

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.fit.class_fit import NotFitted
from app.analysis.fit.oddness import oddness
from app.analysis.fit.set_aside import _is_a_case, refitted_without, without_bench, without_run
from app.analysis.fit.stacked import stacked
from app.analysis.readings import RunReadings
from tests.analysis.fit.rooms import ALONE, a_room, fitted, half_widths, main_figures
from tests.simulated_room import Room

CLASS = fitted(a_room(5, Room(slips=2, technique_sd_bench=0.04)), ALONE)
ODD = [i for i in range(36) if oddness(CLASS).is_odd_run(i)]


@pytest.mark.parametrize("position", [0, 4, 11, 20, 35, *ODD])
def test_a_run_set_aside(position: int) -> None:
    reweighted, refitted = without_run(CLASS, position), refitted_without(CLASS, {position})
    assert not isinstance(reweighted, NotFitted)
    assert not isinstance(refitted, NotFitted)
    away = np.array(main_figures(reweighted)) - main_figures(refitted)
    assert np.abs(away / half_widths(refitted)).max() < 0.1
    assert (reweighted.runs, reweighted.benches) == (35, 12)
    assert oddness(reweighted).runs[position] is None


@pytest.mark.parametrize("bench", ["1", "4", "7", "12"])
def test_a_bench_set_aside(bench: str) -> None:
    positions = {i for i, run in enumerate(CLASS.columns.runs) if run.bench == bench}
    reweighted, refitted = without_bench(CLASS, bench), refitted_without(CLASS, positions)
    assert not isinstance(reweighted, NotFitted)
    assert not isinstance(refitted, NotFitted)
    away = np.array(main_figures(reweighted)) - main_figures(refitted)
    assert np.abs(away / half_widths(refitted)).max() < 0.15
    assert (reweighted.runs, reweighted.benches) == (33, 11)


def test_a_run_that_is_odd_already_changes_little() -> None:
    assert ODD
    for position in ODD:
        found = without_run(CLASS, position)
        assert not isinstance(found, NotFitted)
        away = np.array(main_figures(found)) - main_figures(CLASS)
        assert np.abs(away / half_widths(CLASS)).max() < 0.05


@pytest.mark.parametrize(
    ("runs", "out", "is_one"),
    [
        (3, set(), True),  # of another size of bench
        (3, {0, 1, 2}, True),
        (5, {1, 3}, True),
        (5, {0, 2, 4}, False),  # beyond four runs all pairs, and of three the oddest alone
        (8, {6, 7}, True),
        (9, {0}, False),  # more runs than are taken two by two
    ],
)
def test_the_draws_are_weighted_anew_where_a_bench_lists_that_case(
    runs: int, out: set[int], is_one: bool
) -> None:
    class_ = [RunReadings("1", str(k), 0.5, 1.0, 0.08, 50.0, 20.0, 22.0 + k / 10) for k in range(runs)]
    (stack,) = stacked(columns(class_, ALONE), ALONE)
    assert _is_a_case(stack, out | {99}) is is_one


def test_the_last_bench_cannot_be_set_aside() -> None:
    alone = fitted(a_room(1, Room(benches=1)))
    assert isinstance(without_bench(alone, "1"), NotFitted)


def test_a_bench_of_many_runs_is_fitted_again() -> None:
    long_bench = fitted(a_room(2, Room(benches=2, runs=12)))
    found = without_run(long_bench, 3)
    assert not isinstance(found, NotFitted)
    assert found.left_out == frozenset()
    assert found.runs == 23
