"""Straight lines against certified and published values that stand in cases.json."""

from math import sqrt

from app.statistics.influence import influence
from app.statistics.lines import line_through_origin
from app.statistics.robust import huber_line
from tests.oracles.least_squares import fit_through_origin
from tests.oracles.limits import bonferroni_limit, cook_limit
from tests.oracles.robust import bisquare_line, huber_mean
from tests.oracles.york import fit_york
from tests.reference.known import close, known


@known("strd-noint1")
def test_the_certified_line_through_the_origin_is_met(case):
    # Source: NIST Statistical Reference Datasets, NoInt1, certified values. Tolerance: relative 1e-10.
    expected = case["expected"]
    fit = fit_through_origin(case["inputs"]["x"], case["inputs"]["y"])
    assert fit.slope == close(expected["slope"], rel=1e-10)
    assert fit.u_slope == close(expected["se"], rel=1e-10)
    assert fit.residual_sd == close(expected["resid_sd"], rel=1e-10)
    assert fit.r2_uncentred == close(expected["r2_uncentred"], rel=1e-10)
    assert fit.ss_regression == close(expected["SSR"], rel=1e-10)
    assert fit.ss_residual == close(expected["SSE"], rel=1e-10)
    assert fit.f == close(expected["F"], rel=1e-10)
    assert fit.dof == len(case["inputs"]["x"]) - 1


@known("eiv-origin-8")
def test_errors_in_both_variables_through_the_origin(case):
    # Source: synthetic readings fitted with odrpack 0.7.0 and scipy.optimize.minimize_scalar.
    # Tolerances: slope and χ² 1e-6; the uncertainty 1e-3: theirs is from the curvature of χ², York's, which
    # is the ODR kind (sd_beta/birge), is 0.003 % away here.
    inputs, expected = case["inputs"], case["expected"]
    fit = line_through_origin(inputs["x"], inputs["y"], inputs["sx"], inputs["sy"])
    assert fit.slope == close(expected["slope"], rel=1e-6)
    assert fit.birge**2 * expected["dof"] == close(expected["chi2"], rel=1e-6)
    assert fit.u_slope == close(expected["se_unscaled"], rel=1e-3)
    assert fit.birge == close(expected["birge"], rel=1e-6)
    assert fit.u_slope * fit.birge == close(expected["odr_sd_beta_scaled"], rel=1e-3)


@known("york-pearson")
def test_york_s_line_with_errors_in_both_variables(case):
    # Source: Pearson (1901) data with York's weights; parameters by Williamson (quoted in the kapteyn
    # documentation), uncertainties and χ² by York (2004). Tolerances: parameters 1e-7, uncertainties 1e-5.
    inputs, expected = case["inputs"], case["expected"]
    # The table gives weights, which are 1/u².
    line = fit_york(
        inputs["x"], inputs["y"], [1 / sqrt(w) for w in inputs["wx"]], [1 / sqrt(w) for w in inputs["wy"]]
    )
    assert line.converged
    assert line.intercept == close(expected["intercept"], rel=1e-7)
    assert line.slope == close(expected["slope"], rel=1e-7)
    assert line.u_intercept == close(expected["se_intercept"], rel=1e-5)
    assert line.u_slope == close(expected["se_slope"], rel=1e-5)
    assert line.chi2 == close(expected["chi2"], rel=1e-7)
    assert line.mswd == close(expected["mswd"], rel=1e-7)


@known("rlm-huber-8", "rlm-huber-cars")
def test_huber_s_robust_line(case):
    # Source: R 4.2.2, MASS 7.3-58.2 rlm(psi.huber). Tolerance: relative 5e-5.
    line = huber_line(case["inputs"]["x"], case["inputs"]["y"], tuning=case["inputs"]["tuning"])
    assert line.slope == close(case["expected"]["slope"], rel=5e-5)
    assert line.scale == close(case["expected"]["scale"], rel=5e-5)


@known("rlm-bisquare-8")
def test_tukey_s_bisquare_line(case):
    # Source: R 4.2.2, MASS 7.3-58.2 rlm(psi.bisquare). Tolerance: relative 5e-5.
    line = bisquare_line(case["inputs"]["x"], case["inputs"]["y"], tuning=case["inputs"]["tuning"])
    assert line.slope == close(case["expected"]["slope"], rel=5e-5)
    assert line.scale == close(case["expected"]["scale"], rel=5e-5)


@known("huber-chem")
def test_huber_s_proposal_2(case):
    # Source: R MASS hubers(chem), Analytical Methods Committee data. Tolerance: relative 1e-3.
    mean = huber_mean(case["inputs"]["x"], tuning=case["inputs"]["k"])
    assert mean.converged
    assert mean.mean == close(case["expected"]["mu"], rel=1e-3)
    assert mean.sd == close(case["expected"]["s"], rel=1e-3)


@known("cook-origin-8")
def test_influence_of_each_point_on_a_line_through_the_origin(case):
    # Source: R 4.2.2 lm(y~0+x): cooks.distance, rstudent, hatvalues. Tolerance: relative 1e-8.
    expected = case["expected"]
    found = influence(case["inputs"]["x"], case["inputs"]["y"], [1.0] * len(case["inputs"]["x"]))
    assert list(found.cooks_distance) == close(expected["cook"], rel=1e-8)
    assert list(found.studentized) == close(expected["rstudent"], rel=1e-8)
    assert list(found.leverage) == close(expected["hat"], rel=1e-8)
    flagged = [i for i, d in enumerate(found.cooks_distance) if d > cook_limit(len(case["inputs"]["x"]))]
    assert flagged == expected["flag_4_over_n"]
    assert bonferroni_limit(len(case["inputs"]["x"])) == close(expected["bonferroni_t"], rel=1e-8)


@known("cook-cars")
def test_the_most_influential_of_fifty_cars(case):
    # Source: R datasets::cars, lm(dist~0+speed). Tolerance: relative 1e-8.
    x, y, expected = case["inputs"]["x"], case["inputs"]["y"], case["expected"]
    fit, found = fit_through_origin(x, y), influence(x, y, [1.0] * len(x))
    assert fit.slope == close(expected["slope"], rel=1e-8)
    assert fit.u_slope == close(expected["se"], rel=1e-8)
    top = sorted(range(len(x)), key=lambda i: -found.cooks_distance[i])[:3]
    assert top == expected["top3_index0"]
    assert [found.cooks_distance[i] for i in top] == close(expected["cook"], rel=1e-8)
    assert [found.studentized[i] for i in top] == close(expected["rstudent"], rel=1e-8)
