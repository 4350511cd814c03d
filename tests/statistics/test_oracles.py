"""The fits against independent general libraries, on made-up readings."""

import numpy as np
import pytest
import statsmodels.api as sm
from odrpack import odr_fit
from scipy.stats import f as fisher
from scipy.stats import f_oneway
from scipy.stats import t as student
from statsmodels.robust.norms import HuberT, TukeyBiweight
from statsmodels.stats.outliers_influence import OLSInfluence

from app.statistics import quantiles
from app.statistics.influence import influence
from app.statistics.robust import huber_line
from app.statistics.spread import anova
from app.statistics.straight_line import fit_line
from app.statistics.through_origin import fit_errors_in_both
from tests.oracles.grubbs import grubbs
from tests.oracles.least_squares import fit_through_origin
from tests.oracles.outliers import generalized_esd
from tests.oracles.robust import bisquare_line
from tests.oracles.york import fit_york


def readings(seed, n=14):
    rng = np.random.default_rng(seed)
    x = rng.uniform(300, 900, n)
    y = x / 150 + rng.normal(0, 0.15, n)
    return x, y, rng.uniform(2, 5, n), rng.uniform(0.1, 0.2, n)


@pytest.mark.parametrize("seed", range(5))
def test_errors_in_both_variables_agree_with_odrpack(seed):
    # odrpack stops about 1e-7 short even at tight tolerances, hence 1e-6.
    x, y, ux, uy = readings(seed)
    origin = fit_errors_in_both(x, y, ux, uy)
    odr = odr_fit(
        lambda x, b: b[0] * x, x, y, beta0=np.array([0.006]), weight_x=1 / ux**2, weight_y=1 / uy**2,
        sstol=1e-14, partol=1e-14,
    )  # fmt: skip
    assert origin.slope == pytest.approx(odr.beta[0], rel=1e-6)
    assert origin.chi2 == pytest.approx(odr.sum_square, rel=1e-6)
    assert origin.u_slope_york * origin.birge == pytest.approx(odr.sd_beta[0], rel=2e-3)
    york = fit_york(x, y, ux, uy)
    odr = odr_fit(
        lambda x, b: b[0] + b[1] * x, x, y, beta0=np.array([0.0, 0.006]), weight_x=1 / ux**2,
        weight_y=1 / uy**2, sstol=1e-14, partol=1e-14,
    )  # fmt: skip
    # The offset is nearly zero and odrpack stops short: both are compared with their uncertainty.
    assert york.intercept == pytest.approx(odr.beta[0], abs=1e-4 * york.u_intercept)
    assert york.slope == pytest.approx(odr.beta[1], abs=1e-4 * york.u_slope)
    assert york.u_slope * np.sqrt(york.mswd) == pytest.approx(odr.sd_beta[1], rel=5e-3)
    assert york.u_intercept * np.sqrt(york.mswd) == pytest.approx(odr.sd_beta[0], rel=5e-3)


def test_errors_in_both_find_the_lowest_minimum_not_the_nearest():
    """Points along a steep line in noise: the search over all directions agrees with a fine scan."""
    rng = np.random.default_rng(3)
    for _ in range(50):
        x, y = rng.normal(0, 1, 6), rng.normal(0, 1, 6)
        ux, uy = rng.uniform(0.2, 2, 6), rng.uniform(0.2, 2, 6)
        fit = fit_errors_in_both(x, y, ux, uy)
        slopes = np.tan(np.linspace(-np.pi / 2 + 1e-4, np.pi / 2 - 1e-4, 20001))[:, None]
        chi2 = np.sum((y - slopes * x) ** 2 / (uy**2 + slopes**2 * ux**2), axis=1)
        assert fit.chi2 <= chi2.min() * (1 + 1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_exchanging_x_and_y_inverts_the_line_with_errors_in_both(seed):
    x, y, ux, uy = readings(seed)
    there, back = fit_errors_in_both(x, y, ux, uy), fit_errors_in_both(y, x, uy, ux)
    assert there.slope == pytest.approx(1 / back.slope, rel=1e-10)
    assert there.chi2 == pytest.approx(back.chi2, rel=1e-10)
    york, turned = fit_york(x, y, ux, uy), fit_york(y, x, uy, ux)
    assert york.slope == pytest.approx(1 / turned.slope, rel=1e-10)


def test_with_exact_x_errors_in_both_is_weighted_least_squares():
    x, y, _, uy = readings(1)
    other = sm.WLS(y, x, weights=1 / uy**2).fit()
    fit = fit_errors_in_both(x, y, np.zeros_like(x), uy)
    assert fit.slope == pytest.approx(other.params[0], rel=1e-11)
    assert fit.u_slope == pytest.approx(np.sqrt(other.normalized_cov_params[0, 0]), rel=1e-9)
    assert fit.u_slope_york == pytest.approx(fit.u_slope, rel=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_least_squares_agrees_with_statsmodels_weighted_and_not(seed):
    x, y, _, uy = readings(seed)
    for weights in (None, 1 / uy**2):
        w = np.ones_like(x) if weights is None else weights
        other = sm.WLS(y, x, weights=w).fit()
        fit = fit_through_origin(x, y, weights)
        assert (fit.slope, fit.u_slope) == pytest.approx((other.params[0], other.bse[0]), rel=1e-9)
        assert fit.r2_uncentred == pytest.approx(other.rsquared, rel=1e-9)
        assert fit.f == pytest.approx(other.fvalue, rel=1e-8)
        other = sm.WLS(y, sm.add_constant(x), weights=w).fit()
        line = fit_line(x, y, weights)
        assert (line.intercept, line.slope) == pytest.approx(tuple(other.params), rel=1e-8)
        assert (line.u_intercept, line.u_slope) == pytest.approx(tuple(other.bse), rel=1e-8)


@pytest.mark.parametrize("seed", range(3))
def test_influence_agrees_with_statsmodels_weighted_and_with_an_offset(seed):
    x, y, _, uy = readings(seed)
    root = 1 / uy
    for ours, design in ((x, x[:, None]), (sm.add_constant(x), sm.add_constant(x))):
        other = OLSInfluence(sm.OLS(y * root, design * root[:, None]).fit())
        found = influence(ours, y, weights=1 / uy**2)
        assert found.leverage == pytest.approx(other.hat_matrix_diag, rel=1e-9)
        assert found.cooks_distance == pytest.approx(tuple(other.cooks_distance[0]), rel=1e-8)
        assert found.studentized == pytest.approx(tuple(other.resid_studentized_external), rel=1e-8)


@pytest.mark.parametrize("seed", range(4))
def test_robust_lines_agree_with_statsmodels(seed):
    x, y, _, _ = readings(seed)
    y[3] += 2.0
    for ours, norm in ((huber_line, HuberT(1.345)), (bisquare_line, TukeyBiweight(4.685))):
        line = ours(x, y)
        other = sm.RLM(y, x, M=norm).fit(maxiter=500, tol=1e-12)
        assert line.converged
        assert line.slope == pytest.approx(other.params[0], rel=5e-5)
        assert line.scale == pytest.approx(other.scale, rel=1e-4)
    assert bisquare_line(x, y).weights[3] == 0.0


def test_the_f_ratio_agrees_with_scipy():
    groups = [list(g) for g in np.random.default_rng(6).normal(130, 5, (6, 4))]
    groups[2] = groups[2][:2]
    assert anova(groups).f == pytest.approx(f_oneway(*groups).statistic, rel=1e-10)


def test_quantiles_agree_with_scipy_s_distributions():
    for dof in (0.7, 1, 2.5, 7, 40, 1e4):
        assert quantiles.student_two_sided(dof) == pytest.approx(student.ppf(0.975, dof), rel=1e-8)
        assert quantiles.fisher(dof, 3.5, 0.05) == pytest.approx(fisher.ppf(0.05, dof, 3.5), rel=1e-8)


def test_masked_pairs_are_found_and_grubbs_alone_would_miss_them():
    rng = np.random.default_rng(8)
    values = [*rng.normal(130, 3, 18), 190.0, 191.0]
    assert set(generalized_esd(values, 5).outliers) == {18, 19}
    assert not grubbs([1.0, 1.1, 0.9, 9.0, 9.1]).outlier
