"""Figures of a class worked by hand, and the limits at which the words about them change."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from typing import Any

import numpy as np
import pytest
from scipy import stats

from app.analysis.bench_table import bench_table
from app.analysis.columns import columns
from app.analysis.fit.accepted import accepted_inside, accepted_range, percent_beyond, percent_error
from app.analysis.fit.allowance import most_used_allowance
from app.analysis.fit.design import half_in_words, mass_levels
from app.analysis.fit.estimates import plain_mean
from app.analysis.fit.heat_ledger import _note
from app.analysis.of_the_fit import Oddness
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ClassValue, Flag, HeatLedger
from app.analysis.views.line import line_fit
from app.analysis.views.one_bench import own_result, runs_to_halve_the_interval
from app.analysis.views.runs import run_results
from app.analysis.views.spread import bench_scatter
from app.analysis.views.warnings import warnings_for
from app.words import Message
from tests.analysis.classes import LEAD

EXACT = replace(LEAD, length_sd_m=0.0)


def a_run(bench: int, warming: float, run: int = 1, **changes: Any) -> RunReadings:
    """e = 9.80665 × 0.92 × 50 = 451.1059 J/kg."""
    return replace(RunReadings(str(bench), str(run), 0.5, 1.0, 0.08, 50.0, 20.0, 20.0 + warming), **changes)


E = 9.80665 * 0.92 * 50


def test_an_accepted_value_is_a_range_of_a_rectangle_about_it() -> None:
    """u = half/√3: JCGM 100:2008, 4.3.7."""
    typed = ClassSettings(accepted_J_per_kg_K=130.0, material="own", u_accepted_J_per_kg_K=2.0)
    assert accepted_range(typed) == pytest.approx((130 - 2 * sqrt(3), 130 + 2 * sqrt(3)))
    exact = replace(typed, u_accepted_J_per_kg_K=0.0)
    assert accepted_range(exact) == (130.0, 130.0)
    steel = ClassSettings(accepted_J_per_kg_K=475.0, material="Steel", u_accepted_J_per_kg_K=14.4)
    assert accepted_range(steel) == (450.0, 500.0)
    assert accepted_range(replace(steel, u_accepted_J_per_kg_K=0.0)) == (475.0, 475.0)
    elsewhere = accepted_range(replace(steel, accepted_J_per_kg_K=600.0))
    assert elsewhere == pytest.approx((600 - 14.4 * sqrt(3), 600 + 14.4 * sqrt(3)))
    for at_an_end in (450.0, 500.0):
        assert accepted_range(replace(steel, accepted_J_per_kg_K=at_an_end)) == (450.0, 500.0)


def test_an_interval_that_touches_the_accepted_value_has_it_inside() -> None:
    exact = ClassSettings(accepted_J_per_kg_K=130.0, material="own")
    assert accepted_inside((130.0, 140.0), exact)
    assert accepted_inside((120.0, 130.0), exact)
    assert not accepted_inside((130.1, 140.0), exact)
    assert not accepted_inside((120.0, 129.9), exact)
    assert percent_error(143.0, exact) == pytest.approx(10.0)


def test_a_value_is_beyond_a_range_by_its_distance_from_the_nearer_end() -> None:
    assert [percent_beyond(value, 400.0, 500.0) for value in (400.0, 450.0, 500.0)] == [0.0] * 3
    assert percent_beyond(550.0, 400.0, 500.0) == pytest.approx(10.0)
    assert percent_beyond(380.0, 400.0, 500.0) == pytest.approx(-5.0)


@pytest.mark.parametrize(
    ("masses", "levels"),
    [
        ([0.5], 1),
        ([0.5, 0.55, 0.52], 1),
        ([0.551, 0.5], 2),
        ([0.5, 0.54, 0.58], 2),  # the third is a tenth from the first, not from the second
        ([0.2, 0.4, 0.8, 0.41], 3),
        ([], 0),
    ],
)
def test_masses_within_a_tenth_of_the_lightest_are_one_level(masses: list[float], levels: int) -> None:
    assert mass_levels(np.array(masses)) == levels


def test_a_half_width_that_is_beyond_sense_is_said_as_a_thousand_percent() -> None:
    assert [half_in_words(half) for half in (0.612, 9.99, 10.0, 1e9)] == ["61", "999", "1000", "1000"]


def test_an_allowance_is_the_class_s_where_more_than_two_thirds_have_it_to_half_a_millimetre() -> None:
    everyone = np.ones(6, dtype=bool)
    five = np.array([0.08, 0.08, 0.08, 0.0804, 0.0796, 0.09])
    assert most_used_allowance(five, everyone) is not None
    assert most_used_allowance(five, everyone).tolist() == [True] * 5 + [False]  # type: ignore[union-attr]
    four = np.array([0.08, 0.08, 0.08, 0.08, 0.09, 0.1])
    assert most_used_allowance(four, everyone) is None
    assert most_used_allowance(four, np.array([True] * 5 + [False])) is not None
    assert most_used_allowance(np.array([0.08, 0.08, 0.0806]), np.ones(3, dtype=bool)) is None


def ledger(shot: float, sink: float | None, u: float, leak: float | None = None) -> HeatLedger:
    rest = 1 - shot - (sink or 0.0)
    return HeatLedger(shot, 0.02, sink, None if sink is None else 0.02, rest, u, Message(""), leak, None)


@pytest.mark.parametrize(
    ("given", "differ", "said"),
    [
        (ledger(0.9, 0.15, 0.025), True, "add up to more than the fall energy, by 5 % ± 3 %: no more than"),
        (ledger(0.9, 0.15, 0.024), True, "The parts add up to 5 % more than the fall energy."),
        (ledger(0.7, None, 0.02), True, "The other 30 % went into the tube, caps and thermometer and to the room; these"),
        (ledger(0.7, None, 0.02), False, "with benches of different masses the class could tell these apart."),
        (ledger(0.7, 0.2, 0.02, 0.005), True, "and 10 % ± 2 % went elsewhere: about 1 % leaked to the room."),
        (ledger(0.7, 0.2, 0.02, 0.0049), True, "took 20 %, and 10 % ± 2 % is unaccounted for."),
        (ledger(0.7, 0.2, 0.001), True, "and 10 % ± 1 % is unaccounted for."),
        (ledger(0.8, 0.2, 0.02), True, "took 20 %, and 0 % ± 2 % is unaccounted for."),
    ],
)  # fmt: skip
def test_the_ledger_s_sentence_weighs_what_is_left_against_its_uncertainty(
    given: HeatLedger, differ: bool, said: str
) -> None:
    assert said in str(_note(given, differ))


def test_a_bench_s_own_interval_is_student_s() -> None:
    """JCGM 100:2008, G.3: t(0.975, 2) = 4.3027 of 10/√3, from printed tables (from memory)."""
    found = own_result([130.0, None, 140.0, 150.0])
    assert found is not None
    assert (found.runs, found.mean_J_per_kg_K, found.repeatability_sd_J_per_kg_K) == (3, 140.0, 10.0)
    half = 4.3027 * 10 / sqrt(3)
    assert found.interval_95 == pytest.approx((140 - half, 140 + half), rel=1e-4)
    assert own_result([None]) is None
    alone = own_result([130.0])
    assert alone is not None
    assert (alone.interval_95, alone.repeatability_sd_J_per_kg_K) == (None, None)
    assert "A second one can" in str(alone.advice)


@pytest.mark.parametrize("n", range(2, 9))
def test_so_many_more_runs_halve_the_interval_and_one_fewer_do_not(n: int) -> None:
    """Against scipy.stats: t(0.975, n − 1)/√n."""

    def width(runs: int) -> float:
        return float(stats.t.ppf(0.975, runs - 1) / sqrt(runs))

    more = runs_to_halve_the_interval(n)
    assert width(n + more) <= width(n) / 2
    assert more == 1 or width(n + more - 1) > width(n) / 2
    found = own_result([130.0 + k for k in range(n)])
    assert found is not None
    expected = "One more run" if more == 1 else f"{more} more runs" if more <= 6 else "You have enough runs"
    assert str(found.advice).startswith(expected)


def test_an_interval_of_one_run_cannot_be_halved() -> None:
    with pytest.raises(ValueError, match="two runs"):
        runs_to_halve_the_interval(1)


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
    """χ² = (0.5² + 0.5²)/u(w)² with one degree of freedom: far above 3.84."""
    runs = [a_run(1, 2.0), a_run(1, 3.0, 2), a_run(2, 2.5)]
    table = bench_table(columns(runs, EXACT), EXACT)
    assert table is not None
    u2 = 0.01 / 6
    assert table.variance == pytest.approx(np.array([u2 / (2 * E**2), u2 / E**2]) * (0.5 / u2))


def test_what_one_tube_leaves_uncertain_is_shared_and_what_several_do_is_not() -> None:
    settings = replace(LEAD, length_sd_m=0.0092, u_gravity_m_per_s2=0.03)
    same = bench_table(columns([a_run(1, 2.0), a_run(2, 2.0)], settings), settings)
    assert same is not None
    u_fall = float(columns([a_run(1, 2.0)], settings).u_fall) / 0.92
    assert same.u_shared == pytest.approx(np.hypot(0.03 / 9.80665, u_fall))
    several = [a_run(1, 2.0), a_run(2, 2.0, tube_length_m=1.1)]
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
    assert critical(2, 2, 1) == critical(2, 2)


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
    flag = Flag("odd", Message("odd"))
    aside = [replace(runs[0], set_aside=True), *runs[1:]]
    assert said(aside, flags={0: [flag], 2: [flag]})[0].startswith("Runs flagged and still counted: 1 of 5.")
    assert said([replace(runs[0], inversions=0.0), *runs[1:]])[0].endswith("which no fit can use: 1.")


def test_a_warming_that_its_thermometer_hardly_sees_is_said() -> None:
    """u(w) = 0.5 K/√6 = 0.204 K; a tenth of 2.04 K."""
    coarse = replace(EXACT, thermometer_step_K=0.5)
    assert said([a_run(bench, 2.05) for bench in range(1, 7)], settings=coarse) == []
    (found,) = said([a_run(bench, 2.03) for bench in range(1, 7)], settings=coarse)
    assert (
        "warms by only about 2.0 °C, and one reading of the warming is uncertain by 0.2 °C"
        in found.replace("0.20", "0.2")
    )


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
