"""Figures of a class worked by hand, and the limits at which the words about them change."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from app.analysis.bench_table import BenchTable, bench_table
from app.analysis.columns import columns
from app.analysis.fit.estimates import estimates, plain_mean, random_effects_mean
from app.analysis.fit.oddness import Oddness
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ClassValue, Flag, PooledEstimate
from app.analysis.views.line import line_fit
from app.analysis.views.runs import budget_lines, run_results
from app.analysis.views.spread import bench_scatter
from app.analysis.views.warnings import warnings_for
from app.words import Message
from tests.analysis.classes import LEAD

EXACT = replace(LEAD, length_sd_m=0.0)


def a_run(bench: int, warming: float, run: int = 1, **changes: Any) -> RunReadings:
    """e = 9.80665 × 0.92 × 50 = 451.1059 J/kg."""
    return replace(RunReadings(str(bench), str(run), 0.5, 1.0, 0.08, 50.0, 20.0, 20.0 + warming), **changes)


E = 9.80665 * 0.92 * 50


def test_the_plain_mean_counts_every_bench_alike() -> None:
    """Benches of e/2, (e/2 + e/2.5)/2 and e/4; t(0.975, 2) = 4.3027 (from memory)."""
    runs = [a_run(1, 2.0), a_run(2, 2.0), a_run(2, 2.5, 2), a_run(3, 4.0), a_run(4, -1.0)]
    found = plain_mean(columns(runs, EXACT))
    assert found is not None
    means = np.array([E / 2, (E / 2 + E / 2.5) / 2, E / 4])
    assert found.apparent_heat_capacity_J_per_kg_K == pytest.approx(means.mean())
    assert found.between_bench_sd_J_per_kg_K == pytest.approx(means.std(ddof=1))
    half = 4.3027 * means.std(ddof=1) / sqrt(3)
    assert found.interval_95 == pytest.approx((means.mean() - half, means.mean() + half), rel=1e-4)
    two = plain_mean(columns(runs[:3], EXACT))
    assert two is not None
    assert two.interval_95 is None
    assert plain_mean(columns(runs[:1], EXACT)) is None


def test_the_fit_stands_beside_the_textbook_s_means_from_three_benches_on() -> None:
    cols = columns([a_run(1, 2.0), a_run(2, 2.1), a_run(3, 1.9)], EXACT)
    table = bench_table(cols, EXACT)
    assert table is not None
    value = ClassValue(140.0, (130.0, 150.0), "m", 3, 3, 8.0, 130.0, True)
    fit: Any = SimpleNamespace(
        benches=3, draws=SimpleNamespace(median=lambda one: one), values=SimpleNamespace(bench_sd=0.05)
    )
    of_fit, *others = estimates(fit, value, cols, table)
    assert of_fit == PooledEstimate("run-level-fit", 140.0, (130.0, 150.0), 7.0)
    assert [one.method for one in others] == ["plain-mean", "random-effects"]
    fit.benches = 2
    assert estimates(fit, value, cols, table) == tuple(others)


def test_what_the_benches_share_is_added_to_the_random_effects_mean() -> None:
    """Warmings per energy s that agree, the mean known to 1.645·u/√3, and 5 % of s shared: 1.96·0.05·s."""
    s, u = 0.005, 0.0001
    alike = BenchTable(
        np.arange(3), np.ones(3, dtype=np.intp), np.ones(3), np.full(3, s), np.full(3, u**2), 0.05
    )
    found = random_effects_mean(alike)
    assert found is not None
    half = sqrt((1.644854 * u / sqrt(3)) ** 2 + (1.959964 * 0.05 * s) ** 2)
    assert found.interval_95 == pytest.approx((1 / (s + half), 1 / (s - half)), rel=1e-6)
    assert (found.apparent_heat_capacity_J_per_kg_K, found.between_bench_sd_J_per_kg_K) == (200.0, 0.0)


@pytest.mark.parametrize(
    ("benches", "u_shared", "known"), [(3, 0.5, True), (3, 0.53, False), (2, 0.0, False)]
)
def test_a_mean_that_could_be_nothing_or_of_two_benches_has_no_interval(
    benches: int, u_shared: float, known: bool
) -> None:
    """1.96·0.53 is more than all of it."""
    table = BenchTable(
        np.arange(benches), np.ones(benches, dtype=np.intp), np.ones(benches),
        np.full(benches, 0.005), np.full(benches, 1e-14), u_shared,
    )  # fmt: skip
    found = random_effects_mean(table)
    assert found is not None
    assert (found.interval_95 is not None) is known


def test_benches_that_differ_far_more_than_their_errors_have_that_spread_between_them() -> None:
    """A standard deviation of 0.0001 K·kg/J about 0.005 is 0.0001/0.005² J/(kg·K)."""
    slopes = np.array([0.0049, 0.005, 0.0051])
    table = BenchTable(np.arange(3), np.ones(3, dtype=np.intp), np.ones(3), slopes, np.full(3, 1e-20), 0.0)
    found = random_effects_mean(table)
    assert found is not None
    assert found.between_bench_sd_J_per_kg_K == pytest.approx(4.0, rel=1e-4)


def test_a_bench_s_line_and_what_its_readings_leave_uncertain() -> None:
    """s = Σew/Σe²; Var(s) = u(w)²/Σe² with u(w) = 0.1/√6 K for runs that repeat within their thermometer."""
    runs = [a_run(1, 2.0), a_run(1, 2.04, 2), a_run(2, 3.0, shot_mass_kg=0.3)]
    table = bench_table(columns(runs, EXACT), EXACT)
    assert table is not None
    assert len(table) == 2
    assert table.counts.tolist() == [2, 1]
    assert table.mass == pytest.approx([0.5, 0.3])
    assert table.slope == pytest.approx([2.02 / E, 3.0 / E])
    assert table.variance == pytest.approx([0.01 / 6 / (2 * E**2), 0.01 / 6 / E**2])
    assert table.u_shared == 0.0


def test_runs_that_scatter_more_than_their_thermometer_widen_every_bench() -> None:
    """χ² = (0.5² + 0.5²)/u(w)² with two degrees of freedom: far above 5.99."""
    runs = [a_run(1, 2.0), a_run(1, 3.0, 2), a_run(2, 2.5), a_run(2, 2.5, 2)]
    table = bench_table(columns(runs, EXACT), EXACT)
    assert table is not None
    u2 = 0.01 / 6
    assert table.variance == pytest.approx(np.array([u2 / (2 * E**2), u2 / (2 * E**2)]) * (0.25 / u2))


def test_what_one_tube_leaves_uncertain_is_shared_and_what_several_do_is_not() -> None:
    settings = replace(LEAD, length_sd_m=0.0092, u_gravity_m_per_s2=0.03)
    same = bench_table(columns([a_run(1, 2.0), a_run(2, 2.0)], settings), settings)
    assert same is not None
    u_fall = float(columns([a_run(1, 2.0)], settings).u_fall) / 0.92
    assert same.u_shared == pytest.approx(np.hypot(0.03 / 9.80665, u_fall))
    several = [a_run(1, 2.0), a_run(1, 2.0, 2), a_run(2, 2.0, tube_length_m=1.1)]
    own = bench_table(columns(several, settings), settings)
    assert own is not None
    assert own.u_shared == pytest.approx(0.03 / 9.80665)
    known = bench_table(columns(several, replace(settings, length_sd_m=0.0)), settings)
    assert known is not None
    assert own.variance[0] - known.variance[0] == pytest.approx((u_fall * own.slope[0]) ** 2, rel=1e-9)


def test_the_spread_needs_two_benches_and_two_runs_at_one_and_two_to_compare() -> None:
    def spread(*runs: RunReadings, differ: bool = False) -> Any:
        cols = columns(list(runs), EXACT)
        return bench_scatter(cols, bench_table(cols, EXACT), differ).spread

    assert "No counted run" in str(spread(a_run(1, -1.0)).reason)
    assert "One bench shows" in str(spread(a_run(1, 2.0), a_run(1, 2.1, 2)).reason)
    assert "Every bench made one run" in str(spread(a_run(1, 2.0), a_run(2, 2.1)).reason)
    one_repeats = spread(a_run(1, 2.0), a_run(1, 2.1, 2), a_run(2, 2.1))
    assert one_repeats.repeatability_sd is not None
    assert one_repeats.mandel_k_critical is one_repeats.cochran_C is one_repeats.mandel_h_critical is None
    runs = [a_run(bench, 2.0 + 0.1 * run, run) for bench in (1, 2, 3) for run in (1, 2)]
    full = spread(*runs, differ=True)
    assert "used different masses" in str(full.reason)
    # ISO 5725-2:1994, table 4: C at 1 % for three laboratories of two results is 0.993 (from memory).
    assert full.cochran_C_critical == pytest.approx(0.993, abs=0.001)
    assert full.mandel_h_critical is not None


def test_the_commonest_number_of_runs_stands_in_where_they_differ() -> None:
    """ISO 5725-2: k and C are for benches with the same number of runs; of equally common ones the least."""

    def critical(*numbers: int) -> float:
        runs = [
            a_run(bench, 2.0 + 0.1 * run, run) for bench, n in enumerate(numbers) for run in range(1, n + 1)
        ]
        cols = columns(runs, EXACT)
        return float(bench_scatter(cols, bench_table(cols, EXACT), False).spread.cochran_C_critical or 0)

    assert critical(3, 3, 2) == critical(3, 3, 3)
    assert critical(3, 2, 2) == critical(2, 2, 2)
    assert critical(2, 2, 3, 3) == critical(2, 2, 2, 2)
    assert critical(2, 2, 1) == critical(2, 2) > 0
    assert critical(2, 1, 1) == 0


def said(
    runs: list[RunReadings], benches: int = 6, settings: ClassSettings = EXACT, **given: Any
) -> list[str]:
    cols = columns(runs, settings)
    value = ClassValue(140.0, (130.0, 150.0), "m", len(runs), benches, 8.0, 130.0, True)
    flags: dict[int, list[Flag]] = given.pop("flags", {})
    value = given.pop("value", value)
    return [str(one) for one in warnings_for(cols, flags, bench_table(cols, settings), value, **given)]


def test_a_class_is_warned_of_what_its_numbers_rest_on() -> None:
    runs = [a_run(bench, 2.0) for bench in range(1, 7)]
    assert said(runs) == []
    assert said(runs, benches=5) == []
    assert said(runs, benches=4) == ["With 4 benches the interval rests on very little."]
    assert said([]) == ["There are no runs."]
    assert said(runs, value=None, absent=Message("Nothing to pool.")) == ["Nothing to pool."]
    assert said(runs, one_allowance=Message("One for all.")) == ["One for all."]
    bare = ClassValue(140.0, None, "m", 6, 2, 8.0, 130.0, None, interval_absent_because=Message("Two."))
    assert said(runs, value=bare) == ["Two."]
    flag = Flag("odd", Message("odd"))
    aside = [replace(runs[0], set_aside=True), *runs[1:]]
    assert said(aside, flags={0: [flag], 2: [flag]})[0].startswith("Runs flagged and still counted: 1 of 5.")
    assert said([replace(runs[0], inversions=0.0), *runs[1:]])[0].endswith("which no fit can use: 1.")


def test_a_warming_that_its_thermometer_hardly_sees_is_said() -> None:
    """u(w) = 0.5 K/√6 = 0.204 K; a tenth of 2.04 K."""
    coarse = replace(EXACT, thermometer_step_K=0.5)
    assert said([a_run(bench, 2.05) for bench in range(1, 7)], settings=coarse) == []
    (found,) = said([a_run(bench, 2.03) for bench in range(1, 7)], settings=coarse)
    assert "warms by only about 2 °C, and one reading of the warming is uncertain by 0.2 °C" in found
    (hardly,) = said([a_run(bench, 0.06) for bench in range(1, 7)])
    assert "warms by only about 0.06 °C, and one reading of the warming is uncertain by 0.041 °C" in hardly


def test_runs_with_the_same_label_are_all_used_and_said_to_be() -> None:
    runs = [a_run(bench, 2.0) for bench in range(1, 7)]
    (found,) = said([*runs, runs[0], runs[0], runs[3]])
    assert found == "Bench 1 has more than one run labelled 1 (such labels: 2). All are used."


def test_a_run_has_a_value_or_the_reason_why_not() -> None:
    runs = [
        a_run(1, 2.0),
        a_run(2, 0.0),
        a_run(3, -0.5),
        a_run(4, 2.0, inversions=0.0),
        a_run(5, 0.05),
        a_run(6, 2.0, end_allowance_m=0.99),
    ]
    settings = replace(LEAD, length_sd_m=0.006)
    found = run_results(columns(runs, settings), settings, {}, {}, Oddness((None,) * 6, (None,) * 6), 0.01)
    reasons = [str(one.absent_because or one.interval_absent_because or "") for one in found]
    assert reasons[0] == ""
    assert "the shot did not warm up" in reasons[1]
    assert "ends colder than it began" in reasons[2]
    assert "there is no fall energy" in reasons[3]
    assert "so there is no upper end" in reasons[4]
    assert "so there is no lower end" in reasons[5]
    assert [one.apparent_heat_capacity_J_per_kg_K is None for one in found] == [
        False,
        True,
        True,
        True,
        False,
        False,
    ]
    assert found[0].apparent_heat_capacity_J_per_kg_K == pytest.approx(E / 2.0)


def test_a_run_s_budget_names_each_source_with_what_it_adds() -> None:
    """c* = e/w; u(w) is s/√6 of the steps and √2 of a reading's scatter (JCGM 100:2008, 4.3.7, 5.1.2)."""
    settings = replace(LEAD, reading_sd_K=0.03, length_sd_m=0.0046, u_gravity_m_per_s2=0.02)
    runs = [a_run(1, 2.0), a_run(2, 2.0, thermometer_step_K=0.5), a_run(3, 0.0)]
    found = run_results(columns(runs, settings), settings, {}, {}, Oddness((None,) * 3, (None,) * 3), 0.01)
    c = E / 2.0
    for run, step in zip(found, (0.1, 0.5), strict=False):
        lines = {str(line.source).split(",")[0]: line for line in budget_lines(run, settings)}
        inputs = [step / sqrt(6), sqrt(2) * 0.03, 0.0046, 0.02, 0.0, 0.01]
        parts = [c / 2 * inputs[0], c / 2 * inputs[1], c * 0.005, c * 0.02 / 9.80665, 0.0, c * 0.01]
        assert [line.u_input for line in lines.values()] == pytest.approx(inputs)
        assert [line.contribution_J_per_kg_K for line in lines.values()] == pytest.approx(parts)
        assert [line.unit for line in lines.values()] == ["K", "K", "m", "m/s²", "1", "1"]
        assert run.standard_uncertainty_J_per_kg_K == pytest.approx(sqrt(sum(part**2 for part in parts)))
    assert budget_lines(found[2], settings) == ()


def test_the_line_s_uncertainty_is_widened_by_runs_that_scatter_and_not_narrowed_by_runs_that_agree() -> None:
    """With equal energies s = mean w/e and u(s) = u(w)/(e√3). The runs 2.0, 2.2 and 2.4 K have a standard
    deviation of 0.2 K, which takes the place of u(w) = 0.1 K/√6 where it is larger."""
    for away, u in ((0.2, 0.2), (0.001, 0.1 / sqrt(6))):
        found = line_fit(columns([a_run(bench, 2.2 + away * (bench - 2)) for bench in (1, 2, 3)], EXACT))
        assert found is not None
        assert found.slope_K_kg_per_J == pytest.approx(2.2 / E)
        assert found.apparent_heat_capacity_J_per_kg_K == pytest.approx(E / 2.2)
        assert found.u_slope_K_kg_per_J == pytest.approx(u / (E * sqrt(3)))
    straight = line_fit(columns([a_run(n, 1.0 * n, inversions=25.0 * n) for n in (1, 2, 3)], EXACT))
    assert straight is not None
    assert straight.offset_K == pytest.approx(0.0, abs=1e-12)
    # u(a)² = u(w)²·Σe²/(nΣe² − (Σe)²) with e = 1, 2, 3 in some unit.
    assert straight.u_offset_K == pytest.approx(0.1 / sqrt(6) * sqrt(14 / (3 * 14 - 36)))
    alone = line_fit(columns([a_run(1, 2.0)], EXACT))
    assert alone is not None
    assert alone.u_slope_K_kg_per_J is None


def test_energies_alike_to_a_hundredth_show_no_offset() -> None:
    """The relative standard deviation of 50, 50, 51.2 inversions is 1.1 %, of 50, 50, 51 0.94 %."""
    for last, shown in ((51.2, True), (51.0, False)):
        runs = [a_run(1, 2.0), a_run(2, 2.0), a_run(3, 2.05, inversions=last)]
        found = line_fit(columns(runs, replace(EXACT, length_sd_m=0.0)))
        assert found is not None
        assert (found.offset_K is not None) is shown, last
    two = line_fit(columns([a_run(1, 2.0), a_run(2, 4.0, inversions=100.0)], EXACT))
    assert two is not None
    assert two.offset_K is None
    assert line_fit(columns([a_run(1, -1.0), a_run(2, -1.0)], EXACT)) is None
    assert line_fit(columns([], EXACT)) is None
