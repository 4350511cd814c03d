"""Straight lines against certified and published values that stand in cases.json."""

from app.statistics.through_origin import fit_errors_in_both, fit_through_origin
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
    # Tolerances: slope and χ² 1e-6; the uncertainty 1e-3 from the curvature of χ² (that is `u_slope`).
    # `u_slope_york` is the ODR kind (sd_beta/birge), 0.003 % away here.
    inputs, expected = case["inputs"], case["expected"]
    fit = fit_errors_in_both(inputs["x"], inputs["y"], inputs["sx"], inputs["sy"])
    assert fit.converged
    assert fit.slope == close(expected["slope"], rel=1e-6)
    assert fit.chi2 == close(expected["chi2"], rel=1e-6)
    assert fit.dof == expected["dof"]
    assert fit.u_slope == close(expected["se_unscaled"], rel=1e-3)
    assert fit.u_slope_york == close(expected["se_unscaled"], rel=1e-3)
    assert fit.birge == close(expected["birge"], rel=1e-6)
    assert fit.u_slope_york * fit.birge == close(expected["odr_sd_beta_scaled"], rel=1e-3)
    assert fit.u_slope_birge == fit.u_slope_york, "a Birge ratio below 1 never narrows"
