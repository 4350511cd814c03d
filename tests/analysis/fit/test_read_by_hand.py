"""What is read from a fit, from probabilities and draws that are given here: oddness, class value, levels."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from app.analysis.columns import columns
from app.analysis.fit import class_value as of_class
from app.analysis.fit import levels
from app.analysis.fit.class_value import class_value, warms
from app.analysis.fit.design import believed_runs
from app.analysis.fit.heat_ledger import means_like_the_others
from app.analysis.fit.levels import levels_of_mass
from app.analysis.fit.oddness import Oddness, credible_benches, oddness
from app.analysis.fit.set_aside import reweighted
from app.analysis.fit.stacked import stacked
from app.analysis.readings import RunReadings
from app.physics.uncertainty import NO_UPPER_END
from app.statistics.posterior import Draws
from tests.analysis.classes import LEAD

E = 9.80665 * 0.92 * 50


def a_run(bench: str, run: str, warming: float = 2.0, mass_kg: float = 0.5) -> RunReadings:
    return RunReadings(bench, run, mass_kg, 1.0, 0.08, 50.0, 20.0, 20.0 + warming)


def a_fit(runs: list[RunReadings], left_out: frozenset[int] = frozenset(), **of_fit: Any) -> Any:
    cols = columns(runs, LEAD)
    stacks = stacked(cols, LEAD)
    counted = tuple(~np.isin(stack.run, list(left_out)) for stack in stacks)
    benches = sum(int(of_stack.any(axis=1).sum()) for of_stack in counted)
    return SimpleNamespace(
        columns=cols, settings=LEAD, stacks=stacks, counted=counted, left_out=left_out,
        benches=benches, runs=sum(int(of_stack.sum()) for of_stack in counted), **of_fit,
    )  # fmt: skip


PROBABILITIES = (
    np.array([[[0.6, 0.1], [0.2, 0.1]], [[0.0, 0.0], [0.9, 0.1 + 1e-12]]]),
    np.array([[[0.5, 0.1], [0.1, 0.05], [0.08, 0.02], [0.1, 0.05]]]),
)
"""Two benches of one run, in the cases that it is like the others and that it is not, and one of two runs:
both alike, the second unlike, the first, both. The bench is like the others, then not."""


def test_a_run_is_odd_in_the_cases_that_say_so_and_a_lone_run_also_where_its_bench_is() -> None:
    runs = [a_run("pair", "1", 2.5), a_run("a", "1"), a_run("pair", "2"), a_run("b", "1")]
    found = oddness(a_fit(runs, case_probabilities=PROBABILITIES))
    (pair,) = stacked(columns(runs, LEAD), LEAD)[1].run.tolist()
    expected = {1: 0.2 + 0.1 + 0.1, 3: 1.0, pair[0]: 0.08 + 0.02 + 0.1 + 0.05, pair[1]: 0.1 + 0.05 + 0.15}
    assert found.runs == pytest.approx([expected[i] for i in range(4)])
    assert found.benches == pytest.approx([0.1 + 0.05 + 0.02 + 0.05, 0.0, 0.0])
    assert [found.is_odd_run(i) for i in range(4)] == [False, False, False, True]
    assert found.runs[3] == 1.0, "whatever rounding adds"
    assert believed_runs(a_fit(runs, case_probabilities=PROBABILITIES)).tolist() == [1.0, 1.0, 1.0, 0.0]
    credible = credible_benches(a_fit(runs, case_probabilities=PROBABILITIES))
    assert [one.tolist() for one in credible] == [pytest.approx([0.7, 1e-6]), pytest.approx([0.85])]


def test_one_half_is_not_more_probably_odd_than_not() -> None:
    at_half = Oddness((0.5, 0.51), (0.5, 0.51))
    assert (
        [at_half.is_odd_run(i) for i in (0, 1)] == [at_half.is_odd_bench(i) for i in (0, 1)] == [False, True]
    )


def test_a_run_that_is_as_probably_odd_as_not_is_believed() -> None:
    of_case = np.array([[[0.5, 0.0], [0.5, 0.0]]])
    assert believed_runs(a_fit([a_run("1", "1")], case_probabilities=(of_case,))).tolist() == [1.0]


def test_what_is_left_out_is_neither_odd_nor_credible() -> None:
    runs = [a_run("pair", "1", 2.5), a_run("a", "1"), a_run("pair", "2"), a_run("b", "1")]
    fit = a_fit(runs, frozenset({1, 2}), case_probabilities=PROBABILITIES)
    found = oddness(fit)
    assert [one is None for one in found.runs] == [False, True, True, False]
    assert [one is None for one in found.benches] == [False, True, False]
    assert [one.tolist() for one in credible_benches(fit)] == [
        pytest.approx([0.0, 1e-6]),
        pytest.approx([0.85]),
    ]
    assert not found.is_odd_run(1)
    assert not found.is_odd_bench(1)


def test_the_ledger_s_means_weigh_each_run_by_its_being_like_the_others() -> None:
    """The pair's runs by 0.75 and 0.7, its bench by 1, bench a by 0.7 and bench b by nothing."""
    settings = replace(LEAD, room_temperature_C=21.5)
    runs = [a_run("pair", "1", 2.5), a_run("a", "1", 1.5, 0.25), a_run("pair", "2"), a_run("b", "1", 9.0)]
    fit = a_fit(runs, case_probabilities=PROBABILITIES)
    fit.stacks = stacked(columns(runs, settings), settings)
    first, second = (runs[i].warming_K for i in fit.stacks[1].run[0])
    found = means_like_the_others(fit)
    assert found is not None
    pair = (0.75 * first + 0.7 * second) / 1.45
    assert found.warming == pytest.approx((0.7 * 1.5 + pair) / 1.7 / E)
    assert found.warming_per_mass == pytest.approx((0.7 * 1.5 * 4 + pair * 2) / 1.7 / E)
    theta = [-1.5 + warming / 2 for warming in (1.5, pair)]
    assert found.leaking == pytest.approx((0.7 * 4 * theta[0] + 2 * theta[1]) / 1.7 * 50 / E)
    u = 0.1 / 6**0.5 / E
    of_pair = u**2 * (0.75**2 + 0.7**2) / 1.45**2
    assert found.u_warming == pytest.approx(((0.7 * u) ** 2 + of_pair) ** 0.5 / 1.7)


@pytest.mark.parametrize(
    ("alike", "warming", "known"), [(0.5, 2.0, True), (0.49, 2.0, False), (0.9, 0.0, False)]
)
def test_a_ledger_needs_a_run_that_is_like_the_others_and_warms(
    alike: float, warming: float, known: bool
) -> None:
    of_case = np.array([[[alike, 0.0], [1 - alike, 0.0]]])
    fit = a_fit([a_run("1", "1", warming)], case_probabilities=(of_case,))
    assert (means_like_the_others(fit) is not None) is known


@pytest.mark.parametrize("beyond", [0.0, -2000.0, 2000.0])
def test_likelihoods_beyond_any_float_weigh_the_draws_all_the_same(beyond: float) -> None:
    even = Draws(np.zeros((4, 1)), np.full(4, 0.25), np.zeros((4, 0)))
    found = reweighted(even, np.log([4.0, 3.0, 2.0, 1.0]) + beyond)
    assert found is not None
    assert found.weights == pytest.approx([0.4, 0.3, 0.2, 0.1])


def test_draws_of_which_one_in_twenty_counts_are_weighed_anew_and_one_in_twenty_one_are_not() -> None:
    for count, kept in ((20, True), (21, False)):
        even = Draws(np.zeros((count, 1)), np.full(count, 1 / count), np.zeros((count, 0)))
        only = np.where(np.arange(count) == 3, 0.0, -np.inf)
        assert (reweighted(even, only) is not None) is kept


def the_class(monkeypatch: pytest.MonkeyPatch, fit: Any, typical_slope: float = 1.0) -> Any:
    """Its class value, where the draws have the median 180 and the interval 170 to 191.1."""
    fit.draws = SimpleNamespace(median=lambda _: 180.0, interval_95=lambda _: (170.0, 191.1))
    fit.model = SimpleNamespace(with_leak=False, typical_slope=typical_slope, u_warming_K=0.1)
    monkeypatch.setattr(of_class, "class_apparent", lambda _: np.array([180.0]))
    monkeypatch.setattr(of_class, "means_like_the_others", lambda _: SimpleNamespace(warming=0.004))
    return class_value(fit)


def test_two_benches_are_read_out_and_the_mean_stands_for_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """e over the median warming of each bench's counted runs."""
    runs = [a_run("1", "1", 2.0), a_run("1", "2", 2.5), a_run("1", "3", 9.0), a_run("2", "1", 4.0)]
    found = the_class(monkeypatch, a_fit(runs, frozenset({2})))
    assert str(found.interval_absent_because) == (
        f"Too few benches for an interval: the two read {E / 4:.0f} and {E / 2.25:.0f} J/(kg·K)."
    )
    assert (found.apparent_heat_capacity_J_per_kg_K, found.interval_95) == (250.0, None)
    assert (found.runs, found.benches, found.accepted_inside_interval) == (3, 2, None)
    cold = the_class(monkeypatch, a_fit([a_run("1", "1"), a_run("2", "1", 0.0)]))
    assert "one of the two shows no warming" in str(cold.interval_absent_because)
    alone = the_class(monkeypatch, a_fit([a_run("1", "1")]))
    assert "One bench alone" in str(alone.interval_absent_because)


def test_a_class_has_an_interval_as_long_as_its_thermometers_see_its_warming(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """1.96·u(w)/√Σe² of four counted runs with 0.1 K: against accepted 127.4 J/(kg·K)."""
    fit = a_fit([a_run(bench, run) for bench in "123" for run in ("1", "2")], frozenset({0, 1}))
    fit.benches = 3
    least = 1.959964 * 0.1 / (2 * E)
    seen, unseen = (the_class(monkeypatch, fit, slope * least) for slope in (1.0001, 0.9999))
    assert (unseen.interval_95, unseen.interval_absent_because) == (None, NO_UPPER_END)
    assert (seen.interval_95, seen.interval_absent_because) == ((170.0, 191.1), None)
    assert seen.percent_error == pytest.approx(100 * (180 / 127.4 - 1))
    assert seen.percent_error_interval == pytest.approx([100 * (one / 127.4 - 1) for one in (170.0, 191.1)])
    assert seen.accepted_inside_interval is False


@pytest.mark.parametrize(("warmings", "warm"), [((-1.0, 0.0, 3.0), False), ((-1.0, 0.1, 0.1), True)])
def test_a_class_warms_where_its_median_bench_does(warmings: tuple[float, ...], warm: bool) -> None:
    assert warms(a_fit([a_run(str(k), "1", warming) for k, warming in enumerate(warmings)])) is warm


def test_benches_are_levelled_by_plan_or_mass_and_unbelievable_ones_by_ratio(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """130 + 30/m, and 2 % that all share, at the median of the masses that were measured and are believed."""
    masses = {
        "1": (0.25, 0.24),
        "2": (0.26, None),
        "3": (0.5, 0.5),
        "4": (0.37, None),
        "5": (0.8, 0.5),
        "6": (0.34, None),
        "7": (9.0, 0.9),
    }
    runs = [
        replace(a_run(bench, run, mass_kg=mass), planned_shot_mass_kg=planned)
        for bench, (mass, planned) in masses.items()
        for run in ("1", "2")
    ]
    believed = np.array([0.0 if run.bench in ("4", "6", "7") else 1.0 for run in runs])
    monkeypatch.setattr(levels, "believed_runs", lambda _: believed)
    monkeypatch.setattr(levels, "shared_factor", lambda _: 1.02)
    draws = SimpleNamespace(
        median=lambda one: float(one[0]), interval_95=lambda one: (one[0] - 1, one[0] + 1)
    )
    values = SimpleNamespace(heat_capacity=np.array([130.0]), heat_sink=np.array([30.0]))
    fit = a_fit(runs, draws=draws, values=values)
    light, heavy, planned_alone = levels_of_mass(fit, with_interval=True)
    assert (planned_alone.benches, planned_alone.mass_kg) == (("7",), 0.9)
    assert (light.benches, light.mass_kg) == (("1", "2", "6"), pytest.approx(0.255))
    assert (heavy.benches, heavy.mass_kg) == (("3", "4", "5"), pytest.approx(0.65))
    assert light.apparent_heat_capacity_J_per_kg_K == pytest.approx(1.02 * (130 + 30 / 0.255))
    middle = 1.02 * (130 + 30 / 0.65)
    assert heavy.interval_95 == pytest.approx((middle - 1, middle + 1))
    assert [one.interval_95 for one in levels_of_mass(fit, with_interval=False)] == [None] * 3
    believed[:] = 0.0
    assert levels_of_mass(fit, with_interval=True) == ()
