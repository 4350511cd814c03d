"""Where the words about a class or a bench change, and the ranges behind them."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from scipy import stats

from app.analysis.fit.accepted import accepted_inside, accepted_range, percent_beyond, percent_error
from app.analysis.fit.allowance import most_used_allowance
from app.analysis.fit.design import half_in_words, mass_levels
from app.analysis.fit.heat_ledger import _note
from app.analysis.readings import ClassSettings
from app.analysis.results import HeatLedger
from app.analysis.views.one_bench import own_result, runs_to_halve_the_interval
from app.words import Message


def test_an_accepted_value_is_a_range_of_a_rectangle_about_it() -> None:
    """u = half/√3: JCGM 100:2008, 4.3.7."""
    typed = ClassSettings(accepted_J_per_kg_K=130.0, material="own", u_accepted_J_per_kg_K=2.0)
    assert accepted_range(typed) == pytest.approx((130 - 2 * sqrt(3), 130 + 2 * sqrt(3)))
    exact = replace(typed, u_accepted_J_per_kg_K=0.0)
    assert accepted_range(exact) == (130.0, 130.0)
    steel = ClassSettings(accepted_J_per_kg_K=475.0, material="Steel", u_accepted_J_per_kg_K=14.4)
    assert accepted_range(steel) == (450.0, 500.0)
    assert accepted_range(replace(steel, u_accepted_J_per_kg_K=0.05)) == (450.0, 500.0)
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
    assert [half_in_words(half) for half in (0.612, 9.99, 10.0, 10.4, 1e9)] == ["61", "999", *["1000"] * 3]


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
        (ledger(0.9, 0.15, 0.0251), True, "add up to more than the fall energy, by 5 % ± 3 %: no more than"),
        (ledger(0.9, 0.15, 0.024), True, "The parts add up to 5 % more than the fall energy."),
        (ledger(0.7, None, 0.02), True, "and to the room; these readings do not tell the two apart"),
        (ledger(0.7, None, 0.02), False, "with benches of different masses the class could tell"),
        (ledger(0.7, 0.2, 0.02, 0.0051), True, "10 % ± 2 % went elsewhere: about 1 % leaked to the room."),
        (ledger(0.7, 0.2, 0.02, 0.0049), True, "took 20 %, and 10 % ± 2 % is unaccounted for."),
        (ledger(0.7, 0.2, 0.001), True, "and 10 % ± 1 % is unaccounted for."),
        (ledger(0.8, 0.2, 0.02), True, "took 20 %, and 0 % ± 2 % is unaccounted for."),
    ],
)  # fmt: skip
def test_the_ledger_s_sentence_weighs_what_is_left_against_its_uncertainty(
    given: HeatLedger, differ: bool, said: str
) -> None:
    assert said in str(_note(given, differ))


def test_parts_that_make_up_the_energy_to_a_percent_are_not_said_to_exceed_it() -> None:
    exceeding = 0
    for shot_permille in range(750, 851):
        for u in (0.001, 0.02):
            said = str(_note(ledger(shot_permille / 1000, 0.2, u), True))
            exceeding += "more than the fall energy" in said
            assert "by 0 %" not in said
            assert "add up to 0 %" not in said
    assert exceeding > 40


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
    assert (alone.runs, alone.interval_95, alone.repeatability_sd_J_per_kg_K) == (1, None, None)
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
