"""Few benches, tied readings, exact lines: an absent figure is None with a reason, never a NaN."""

from math import pi, sqrt
from statistics import fmean, variance

import numpy as np
import pytest
from statsmodels.stats.meta_analysis import combine_effects

from app.statistics.consistency import consistency, mandel_h_critical, mandel_k_critical
from app.statistics.domain import OutsideDomain
from app.statistics.influence import influence
from app.statistics.outliers import generalized_esd, grubbs, modified_z
from app.statistics.pooling import pool
from app.statistics.robust import bisquare_line, huber_line, huber_mean
from app.statistics.spread import anova, reml_components
from app.statistics.straight_line import fit_line, fit_york
from app.statistics.through_origin import fit_errors_in_both, fit_through_origin


def test_one_bench_has_its_own_value_and_no_interval():
    for method in ("paule-mandel", "dersimonian-laird", "reml"):
        pooled = pool([131.0], [4.0], method)
        assert (pooled.mean, pooled.u_mean, pooled.k) == (131.0, 4.0, 1)
        assert pooled.interval_95 is pooled.interval() is pooled.prediction_interval() is None
        assert pooled.tau is pooled.tau2 is pooled.dof is None
        assert str(pooled.caution) == "One bench alone cannot show how far benches differ: no interval."


def test_two_benches_get_an_honest_very_wide_interval_and_a_caution():
    pooled = pool([118.0, 141.0], [5.0, 6.0])
    low, high = pooled.interval_95
    assert low < 0 < 250 < high
    assert "Two benches are too few" in str(pooled.caution)
    assert "fewer than five" in str(pool([118.0, 141.0, 127.0], [5.0, 6.0, 9.0]).caution)
    assert pool([118.0, 141.0, 127.0, 130.0, 125.0], [5.0] * 5).caution is None


def test_benches_that_agree_too_well_never_narrow_the_modified_interval():
    pooled = pool([129.0, 131.0, 128.0, 130.5], [6.0, 5.0, 8.0, 7.0])
    assert pooled.hartung_knapp_q < 1
    assert pooled.u_mean == pooled.u("normal") > pooled.u("hartung-knapp")
    low, high = pooled.interval("normal")
    assert pooled.interval_95[0] < low < high < pooled.interval_95[1]


def test_dersimonian_and_laird_s_negative_estimate_is_floored_and_shown():
    """τ² = (Q − (k − 1))/(Σw − Σw²/Σw), w = 1/u²: DerSimonian and Laird, Control. Clin. Trials 7 (1986) 177.

    statsmodels' combine_effects does not floor its estimate and gives the same.
    """
    values, us = [129.0, 131.0, 128.0, 130.5], [6.0, 5.0, 8.0, 7.0]
    pooled = pool(values, us, "dersimonian-laird")
    weights = [1 / u**2 for u in us]
    mean = fmean(values, weights)
    q = sum(w * (value - mean) ** 2 for w, value in zip(weights, values, strict=True))
    expected = (q - 3) / (sum(weights) - sum(w**2 for w in weights) / sum(weights))
    assert expected < 0
    with np.errstate(invalid="ignore"):  # statsmodels goes on to take the root of it
        theirs = combine_effects(np.array(values), np.square(us), method_re="dl")
    assert theirs.tau2 == pytest.approx(expected, rel=1e-9)
    assert pooled.tau2 == 0.0
    assert pooled.tau2_untruncated == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("means", "u"),
    [
        ([], []),
        ([1.0], [0.0]),
        ([1.0, 2.0], [1.0]),
        ([1.0, float("nan")], [1.0, 1.0]),
        ([1.0, float("inf")], [1.0, 1.0]),
        ([1.0, 2.0], [1.0, -1.0]),
        ([1.0, 1e80], [1.0, 1.0]),
    ],
)
def test_what_cannot_be_pooled_is_a_named_error_with_a_sentence(means, u):
    with pytest.raises(OutsideDomain) as refused:
        pool(means, u)
    assert str(refused.value).endswith(".")
    assert str(refused.value.message) == str(refused.value)


def test_ties_of_a_coarse_thermometer_do_not_flag_half_the_class():
    ties = [2.0] * 5 + [2.5, 2.5, 4.5]
    assert modified_z(ties).rule == "mean-ad"
    with_floor = modified_z(ties, floor=0.5 / sqrt(6))
    assert with_floor.rule == "floor"
    assert with_floor.flagged() == (7,)


def test_the_floor_finds_what_the_mean_deviation_hides():
    """One run a fifth off among five ties: the fallback is dragged along by it, the resolution is not.

    The mean absolute deviation is a sixth of the one deviation, and √(π/2) of it a standard deviation of the
    normal (Iglewicz and Hoaglin, 1993, who print 1.253314).
    """
    values = [130.0] * 5 + [158.6]
    assert modified_z(values).scores[5] == pytest.approx(6 / sqrt(pi / 2), rel=1e-6)
    assert modified_z([*values[:2], values[5]]).flagged() == ()
    assert modified_z([*values[:2], values[5]], floor=5.0).flagged() == (2,)


def test_a_floor_below_the_class_s_own_scatter_changes_nothing():
    values = [2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3]
    assert list(modified_z(values, 0.01).scores) == list(modified_z(values).scores)
    assert modified_z(values, 5.0).flagged() == ()


def test_equal_values_have_no_outlier():
    assert grubbs([2.0, 2.0, 2.0, 2.0]) is None
    assert generalized_esd([2.0] * 6, 3).outliers == ()
    with pytest.raises(OutsideDomain):
        grubbs([1.0, 2.0])


def test_of_equal_extremes_the_generalized_esd_test_removes_the_first():
    values = [0.0] * 10 + [0.1, -0.1] * 5 + [9.0, 9.0]
    assert generalized_esd(values, 2).removed == (20, 21)


def test_grubbs_test_keeps_to_the_side_it_was_asked_for():
    values = [10.0, 10.1, 9.9, 10.0, 10.2, 2.0]
    assert grubbs(values, side="smallest").index == 5
    assert grubbs(values, side="largest").index == 4
    assert not grubbs(values, side="largest").outlier
    assert grubbs(values, side="smallest").critical < grubbs(values).critical


def test_benches_with_one_run_each_have_no_repeatability():
    table = anova([[120.0], [130.0], [141.0]])
    assert table.s_r is table.s_R is table.s_L is table.f is None
    # Benches of one run: between them there is the variance of the three values.
    assert table.ms_between == pytest.approx(variance([120.0, 130.0, 141.0]), rel=1e-12)
    assert reml_components([[120.0], [130.0], [141.0]]) is None
    found = consistency([[120.0], [130.0], [141.0]])
    assert found.k == (None, None, None)
    assert found.cochran_C is found.k_critical() is found.cochran_critical() is None


def test_one_bench_has_a_repeatability_and_nothing_between():
    table = anova([[120.0, 124.0]])
    assert table.s_r == pytest.approx(sqrt(8))
    assert table.ms_between is table.s_L is table.n0 is None


def test_negative_variance_between_benches_is_floored_and_shown():
    table = anova([[1.0, 3.0], [2.0, 2.2], [1.5, 2.6]])
    assert table.s_L2 == 0.0
    assert table.s_L2_untruncated < 0
    assert table.s_R == table.s_r
    # Restricted maximum likelihood pools both lines there: another definition, not an error.
    pooled = reml_components([[1.0, 3.0], [2.0, 2.2], [1.5, 2.6]])
    assert pooled.between == 0.0
    assert pooled.within == pytest.approx((table.ss_between + table.ss_within) / 5)


def test_with_three_benches_mandel_s_h_can_hardly_flag():
    """|h| ≤ (p − 1)/√p whatever happens, and the critical value lies just below (E691)."""
    assert max(abs(h) for h in consistency([[1.0, 1.1], [1.0, 1.2], [99.0, 98.0]]).h) <= 2 / sqrt(3)
    assert mandel_h_critical(3, 0.05) < 2 / sqrt(3)
    assert consistency([[1.0, 1.1], [1.0, 1.2]]).h_critical() is None
    with pytest.raises(OutsideDomain):
        mandel_h_critical(2)
    with pytest.raises(OutsideDomain):
        mandel_k_critical(1, 3)


def test_unequal_numbers_of_runs_make_the_critical_values_approximate():
    found = consistency([[1.0, 1.1, 1.2], [1.0, 1.3], [1.2, 1.1], [1.4]])
    assert found.approximate
    assert found.groups_with_repeats == 3
    assert found.k[3] is None
    assert found.n == pytest.approx(3 / (1 / 3 + 1 / 2 + 1 / 2))


def test_an_exact_line_has_no_scatter_and_no_outlier():
    x = [1.0, 2.0, 3.0, 4.0]
    line = huber_line(x, [2.0, 4.0, 6.0, 8.0])
    assert (line.slope, line.scale, line.u_slope) == (2.0, 0.0, None)
    assert line.caution is not None
    found = influence(x, [2.0, 4.0, 6.0, 8.0])
    assert found.studentized == found.cooks_distance == (None,) * 4


def test_one_wild_point_beside_an_exact_line_is_told_apart():
    x, y = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0], [2.0, 4.0, 6.0, 8.0, 10.0, 30.0]
    assert bisquare_line(x, y).slope == pytest.approx(2.0, rel=1e-6)
    assert huber_line(x, y).slope == pytest.approx(2.0, rel=1e-6)
    # Without a floor the other five leave no scatter to judge by; with one the sixth stands out alone.
    assert influence(x, y).studentized[5] is None
    judged = influence(x, y, floor_sd=0.2)
    assert [abs(t) > judged.bonferroni_limit() for t in judged.studentized] == [False] * 5 + [True]
    assert judged.bonferroni_probability(5) < 1e-3
    assert judged.bonferroni_probability(0) == 1.0


def test_two_points_through_the_origin_cannot_be_studentized():
    found = influence([1.0, 2.0], [2.0, 4.2])
    assert found.studentized == (None, None)
    assert found.bonferroni_limit() is None
    assert found.bonferroni_probability(0) is None


def test_a_single_point_fixes_the_slope_and_nothing_else():
    fit = fit_through_origin([2.0], [4.0])
    assert (fit.slope, fit.u_slope, fit.residual_sd, fit.f) == (2.0, None, None, None)
    both = fit_errors_in_both([2.0], [4.0], [0.1], [0.1])
    assert both.slope == pytest.approx(2.0)
    assert both.birge is None
    assert both.u_slope_york == pytest.approx(sqrt(0.01 + 4 * 0.01) / 2)


def test_scatter_beyond_the_stated_uncertainties_widens_by_birge_s_ratio():
    fit = fit_errors_in_both([1.0, 2.0, 3.0], [2.4, 3.6, 6.6], [0.01] * 3, [0.01] * 3)
    assert fit.birge > 1
    assert fit.u_slope_birge == pytest.approx(fit.u_slope_york * fit.birge)


def test_lines_that_do_not_exist_are_named_errors():
    for refused in (
        lambda: fit_through_origin([0.0, 0.0], [1.0, 2.0]),
        lambda: fit_line([1.0, 1.0], [1.0, 2.0]),
        lambda: fit_line([1.0], [1.0]),
        lambda: fit_york([1.0, 1.0], [1.0, 2.0], [0.1, 0.1], [0.1, 0.1]),
        lambda: fit_errors_in_both([1.0], [1.0], [0.0], [0.0]),
        lambda: fit_errors_in_both([0.0, 0.0], [1.0, 2.0], [0.1, 0.1], [0.1, 0.1]),
        lambda: huber_line([0.0], [1.0]),
        lambda: influence([[1.0, 2.0], [2.0, 4.0], [3.0, 6.0]], [1.0, 2.0, 3.0]),
    ):
        with pytest.raises(OutsideDomain):
            refused()


def test_a_robust_mean_of_one_value_or_ties_is_that_value():
    assert huber_mean([7.0]).mean == 7.0
    tied = huber_mean([7.0, 7.0, 7.0])
    assert (tied.mean, tied.sd) == (7.0, 0.0)
