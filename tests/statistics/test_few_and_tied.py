"""Few benches, tied readings, exact lines: an absent figure is None with a reason, never a NaN."""

from math import pi, sqrt
from statistics import variance

import numpy as np
import pytest

from app.statistics.domain import OutsideDomain
from app.statistics.influence import influence
from app.statistics.lines import line_through_origin, line_with_offset
from app.statistics.robust import huber_line, robust_sd
from app.statistics.spread import anova, consistency, mandel_h_critical, mandel_k_critical
from tests.oracles.grubbs import grubbs
from tests.oracles.least_squares import fit_through_origin
from tests.oracles.outliers import ModifiedZ, generalized_esd, modified_z
from tests.oracles.variance_components import reml_components
from tests.oracles.york import fit_york


def scored(values: list[float], floor: float = 0.0) -> ModifiedZ:
    """The modified z-scores of one group."""
    return modified_z(values, np.zeros(len(values), dtype=int), floor)


def flagged(values: list[float], floor: float = 0.0) -> list[int]:
    return np.flatnonzero(scored(values, floor).flagged).tolist()


def test_ties_of_a_coarse_thermometer_do_not_flag_half_the_class():
    ties = [2.0] * 5 + [2.5, 2.5, 4.5]
    assert flagged(ties, floor=0.5 / sqrt(6)) == [7]


def test_the_floor_finds_what_the_mean_deviation_hides():
    """One run a fifth off among five ties: the fallback is dragged along by it, the resolution is not.

    The mean absolute deviation is a sixth of the one deviation, and √(π/2) of it a standard deviation of the
    normal (Iglewicz and Hoaglin, 1993, who print 1.253314).
    """
    values = [130.0] * 5 + [158.6]
    assert scored(values).scores[5] == pytest.approx(6 / sqrt(pi / 2), rel=1e-6)
    assert flagged([*values[:2], values[5]]) == []
    assert flagged([*values[:2], values[5]], floor=5.0) == [2]


def test_a_floor_below_the_class_s_own_scatter_changes_nothing():
    values = [2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3]
    assert list(scored(values, 0.01).scores) == list(scored(values).scores)
    assert flagged(values, 5.0) == []


def test_equal_values_have_no_outlier():
    assert grubbs([2.0, 2.0, 2.0, 2.0]) is None
    assert generalized_esd([2.0] * 6, 3).outliers == ()
    with pytest.raises(OutsideDomain):
        grubbs([1.0, 2.0])


def test_of_equal_extremes_the_generalized_esd_test_removes_the_first():
    values = [0.0] * 10 + [0.1, -0.1] * 5 + [9.0, 9.0]
    assert generalized_esd(values, 2).removed == (20, 21)


def test_benches_with_one_run_each_have_no_repeatability():
    table = anova([[120.0], [130.0], [141.0]])
    assert table.s_r is table.s_R is table.s_L is None
    assert reml_components([[120.0], [130.0], [141.0]]) is None
    found = consistency([[120.0], [130.0], [141.0]])
    assert found.k == (None, None, None)
    assert found.cochran_C is None
    assert found.sd == (None, None, None)


def test_one_bench_has_a_repeatability_and_nothing_between():
    table = anova([[120.0, 124.0]])
    assert table.s_r == pytest.approx(sqrt(8))
    assert table.s_L is table.s_R is None


def test_a_negative_variance_between_benches_is_taken_for_none():
    table = anova([[1.0, 3.0], [2.0, 2.2], [1.5, 2.6]])
    assert table.s_L == 0.0
    assert table.s_R == table.s_r
    # Restricted maximum likelihood pools both lines there: another definition, not an error.
    pooled = reml_components([[1.0, 3.0], [2.0, 2.2], [1.5, 2.6]])
    assert pooled.between == 0.0
    assert pooled.within == pytest.approx(variance([1.0, 3.0, 2.0, 2.2, 1.5, 2.6]))


def test_with_three_benches_mandel_s_h_can_hardly_flag():
    """|h| ≤ (p − 1)/√p whatever happens, and the critical value lies just below (E691)."""
    assert max(abs(h) for h in consistency([[1.0, 1.1], [1.0, 1.2], [99.0, 98.0]]).h) <= 2 / sqrt(3)
    assert mandel_h_critical(3, 0.05) < 2 / sqrt(3)
    with pytest.raises(OutsideDomain):
        mandel_h_critical(2)
    with pytest.raises(OutsideDomain):
        mandel_k_critical(1, 3)


def test_a_bench_with_one_run_has_no_k_beside_benches_with_more():
    found = consistency([[1.0, 1.1, 1.2], [1.0, 1.3], [1.2, 1.1], [1.4]])
    assert [one is None for one in found.k] == [one is None for one in found.sd] == [False] * 3 + [True]
    assert found.k[0] == pytest.approx(0.1 / sqrt((0.01 + 0.045 + 0.005) / 3))


def test_scatter_that_is_nothing_but_rounding_is_none():
    found = consistency([[130.0, 130.0 + 3e-14], [130.0, 130.0 - 3e-14], [130.0 + 3e-14, 130.0]])
    assert found.h == found.k == (None, None, None)
    assert found.cochran_C is None


def test_an_exact_line_has_no_scatter_and_no_outlier():
    x = [1.0, 2.0, 3.0, 4.0]
    line = huber_line(x, [2.0, 4.0, 6.0, 8.0])
    assert (line.slope, line.scale) == (2.0, 0.0)
    found = influence(x, [2.0, 4.0, 6.0, 8.0], [1.0] * 4)
    assert found.studentized == found.cooks_distance == (None,) * 4


def test_one_wild_point_beside_an_exact_line_is_told_apart():
    x, y = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0], [2.0, 4.0, 6.0, 8.0, 10.0, 30.0]
    assert huber_line(x, y).slope == pytest.approx(2.0, rel=1e-6)
    # The other five leave no scatter to judge by.
    assert influence(x, y, [1.0] * 6).studentized[5] is None


def test_two_points_through_the_origin_cannot_be_studentized():
    assert influence([1.0, 2.0], [2.0, 4.2], [1.0, 1.0]).studentized == (None, None)


def test_a_single_point_fixes_the_slope_and_nothing_else():
    fit = fit_through_origin([2.0], [4.0])
    assert (fit.slope, fit.u_slope, fit.residual_sd, fit.f) == (2.0, None, None, None)
    both = line_through_origin([2.0], [4.0], [0.1], [0.1])
    assert both.slope == pytest.approx(2.0)
    assert both.birge is None
    assert both.u_slope == pytest.approx(sqrt(0.01 + 4 * 0.01) / 2)


def test_lines_that_do_not_exist_are_named_errors():
    for refused in (
        lambda: fit_through_origin([0.0, 0.0], [1.0, 2.0]),
        lambda: line_with_offset([1.0, 1.0, 1.0], [1.0, 2.0, 3.0], [1.0] * 3),
        lambda: line_with_offset([1.0, 2.0], [1.0, 2.0], [1.0] * 2),
        lambda: fit_york([1.0, 1.0], [1.0, 2.0], [0.1, 0.1], [0.1, 0.1]),
        lambda: line_through_origin([1.0], [1.0], [0.0], [0.0]),
        lambda: line_through_origin([0.0, 0.0], [1.0, 2.0], [0.1, 0.1], [0.1, 0.1]),
        lambda: huber_line([0.0], [1.0]),
        lambda: influence([0.0, 0.0], [1.0, 2.0], [1.0, 1.0]),
        lambda: influence([1.0, 2.0], [1.0], [1.0]),
        lambda: influence([1.0, 2.0], [1.0, 2.0], [1.0, 0.0]),
    ):
        with pytest.raises(OutsideDomain):
            refused()


def test_what_is_wrong_with_the_numbers_is_said_by_the_name_of_the_column() -> None:
    for refused, said in (
        (lambda: influence([0.0, 0.0], [1.0, 2.0], [1.0, 1.0]), "too few different points for this fit"),
        (lambda: influence([1.0, 2.0], [1.0], [1.0]), "y: one value is needed for each reading"),
        (lambda: influence([1.0, 2.0], [1.0, 2.0], [1.0, 0.0]), "weights: every uncertainty must be greater"),
        (lambda: influence([], [], []), "x: at least 1 values are needed"),
        (lambda: influence([1.0], [float("nan")], [1.0]), "y: every value must be a finite number"),
        (lambda: consistency([]), "At least one group is needed"),
    ):
        with pytest.raises(OutsideDomain, match=said):
            refused()


def test_points_that_agree_better_than_their_uncertainties_narrow_no_offset():
    """u(a) = u·√(1/n + x̄²/Σ(x − x̄)²) with the stated u = 0.5, closed form of least squares."""
    x, y, weights = [1.0, 2.0, 3.0, 4.0], [2.0, 4.01, 5.99, 8.0], [4.0] * 4
    stated = 0.5 * sqrt(1 / 4 + 2.5**2 / 5)
    assert line_with_offset(x, y, weights, least_sd=1.0).u_intercept == pytest.approx(stated)
    assert line_with_offset(x, y, weights).u_intercept < 0.1 * stated


def test_a_robust_deviation_is_of_the_median_and_where_most_are_nothing_of_the_mean() -> None:
    """Iglewicz and Hoaglin (1993): MAD/0.6745, or 1.253314 times the mean absolute deviation."""
    assert robust_sd(np.array([-1.0, 2.0, 3.0]), 1e-9) == pytest.approx(2.0 / 0.6745)
    assert robust_sd(np.array([0.0, 0.0, 0.0, -3.0]), 1e-9) == pytest.approx(1.253314 * 0.75)
    assert robust_sd(np.array([0.0, 0.0, 0.0]), 1e-9) == 0.0
