"""How the runs of a class are laid side by side for its fit, and what is typical of it: by hand."""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.fit.class_fit import NO_RUN, class_model
from app.analysis.fit.model import Priors
from app.analysis.fit.quantities import technique_of_a_run
from app.analysis.fit.stacked import in_one_row, room_of_class, stacked, which_are_alike
from app.analysis.readings import RunReadings
from tests.analysis.classes import LEAD

E = 9.80665 * 0.92 * 50


def a_run(bench: str, run: int, warming: float, **changes: Any) -> RunReadings:
    return replace(RunReadings(bench, str(run), 0.5, 1.0, 0.08, 50.0, 20.0, 20.0 + warming), **changes)


RUNS = [
    a_run("a", 1, 4.0, inversions=100.0),
    a_run("pair", 1, 2.5, inversions=60.0),
    a_run("a", 2, 2.1),
    a_run("lone", 1, 1.9, shot_mass_kg=0.0, thermometer_step_K=0.5),
    a_run("a", 3, 3.5, room_temperature_C=22.4, ice_point_C=0.4, shot_mass_kg=0.25),
    a_run("a", 4, 9.0, set_aside=True),
    a_run("pair", 2, 2.0),
]


def test_the_fewest_runs_come_first_and_within_a_bench_the_oddest() -> None:
    """Of a pair neither is odder: then the fewer turns."""
    stacks = stacked(
        columns(RUNS, replace(LEAD, room_temperature_C=21.0)), replace(LEAD, room_temperature_C=21.0)
    )
    assert [stack.run.tolist() for stack in stacks] == [[[3]], [[6, 1]], [[4, 0, 2]]]
    assert [stack.bench.tolist() for stack in stacks] == [[2], [1], [0]]
    of_a = stacks[2]
    assert of_a.warming_K[0].tolist() == pytest.approx([3.5, 4.0, 2.1])
    assert of_a.energy_J_per_kg[0].tolist() == pytest.approx([E, 2 * E, E])
    assert of_a.per_mass[0].tolist() == [4.0, 2.0, 2.0]
    assert of_a.bench_per_mass.tolist() == [2.0]
    assert of_a.inversions[0].tolist() == [50.0, 100.0, 50.0]
    # 20 less 0.4 in melting ice and a room of 22 by that thermometer; else the class's 21.
    assert of_a.start_above_room_K[0].tolist() == pytest.approx([-2.4, -1.0, -1.0])
    assert stacks[0].per_mass[0, 0] == 1e6, "a milligram stands for no mass"
    assert stacks[0].u_warming_K[0, 0] == pytest.approx(0.5 / 6**0.5)
    assert [stack.alike.shape for stack in stacks] == [(2, 1), (4, 2), (8, 3)]


def test_the_order_in_which_runs_are_given_does_not_matter() -> None:
    turned = RUNS[::-1]
    forwards, backwards = (stacked(columns(runs, LEAD), LEAD) for runs in (RUNS, turned))
    for one, other in zip(forwards, backwards, strict=True):
        assert [RUNS[i] for i in one.run.ravel()] == [turned[i] for i in other.run.ravel()]


def test_all_runs_in_one_row_are_in_the_order_given_whether_they_count_or_not() -> None:
    row = in_one_row(columns(RUNS, LEAD), LEAD)
    assert row.run.tolist() == [list(range(7))]
    assert row.warming_K[0].tolist() == pytest.approx([4.0, 2.5, 2.1, 1.9, 3.5, 9.0, 2.0])


def test_the_room_is_the_class_s_or_the_median_of_the_counted_runs_own() -> None:
    cols = columns(RUNS, LEAD)
    assert room_of_class(cols, LEAD) == pytest.approx(22.0)
    another = [replace(RUNS[0], room_temperature_C=23.0), *RUNS[1:]]
    assert room_of_class(columns(another, LEAD), LEAD) == pytest.approx(22.5)
    assert room_of_class(cols, replace(LEAD, room_temperature_C=19.0)) == 19.0
    aside = [replace(run, set_aside=run.room_temperature_C is not None) for run in RUNS]
    assert room_of_class(columns(aside, LEAD), LEAD) is None
    without = stacked(columns(aside, LEAD), LEAD)
    assert all((stack.start_above_room_K == 0.0).all() for stack in without)


def test_in_long_benches_pairs_of_the_eight_oddest_are_unlike_and_the_oddest_together() -> None:
    unlike = {tuple(np.flatnonzero(case == 0.0).tolist()) for case in which_are_alike(10)}
    pairs = {(i, j) for i in range(8) for j in range(i + 1, 8)}
    oddest = {tuple(range(many)) for many in range(3, 11)}
    assert unlike == {()} | {(i,) for i in range(8)} | pairs | oddest


def test_what_is_typical_of_a_class_is_its_median_bench_or_what_no_thermometer_sees() -> None:
    model = class_model(columns(RUNS, LEAD), LEAD, Priors())
    assert model.typical_slope == pytest.approx((2.5 / 1.2 + 2.0) / 2 / E), "of 1.9, 2.1 and a pair"
    assert model.typical_per_mass == 2.0
    assert model.u_warming_K == pytest.approx(0.1 / 6**0.5)
    assert model.with_leak
    cold = [replace(run, end_temperature_C=20.0, room_temperature_C=None) for run in RUNS]
    of_cold = class_model(columns(cold, LEAD), LEAD, Priors())
    assert of_cold.typical_slope == pytest.approx(0.1 / 6**0.5 / E)
    assert not of_cold.with_leak


def test_a_run_s_technique_is_the_class_s_from_three_benches_on_and_else_what_is_usual() -> None:
    values = SimpleNamespace(bench_sd=np.array([0.04]), run_sd=np.array([0.03]))
    draws = SimpleNamespace(median=lambda one: float(one[0]))
    three, two = (SimpleNamespace(benches=benches, values=values, draws=draws) for benches in (3, 2))
    fits: Any = [three, two, NO_RUN]
    assert [technique_of_a_run(fit) for fit in fits] == pytest.approx(
        [0.05, hypot(0.03, 0.02), hypot(0.03, 0.02)]
    )
