"""Spread within and between benches against certified and published values in cases.json."""

from math import sqrt

from app.statistics.spread import (
    anova,
    cochran_critical,
    consistency,
    mandel_h_critical,
    mandel_k_critical,
)
from tests.oracles.variance_components import reml_components
from tests.reference.known import close, known


@known("anova-SiRstv")
def test_the_certified_analysis_of_variance_is_met(case):
    # Source: NIST Statistical Reference Datasets, SiRstv. Tolerance: relative 1e-7.
    expected = case["expected"]
    table = anova(case["inputs"]["groups"])
    assert table.s_r**2 == close(expected["MSW"], rel=1e-7)
    assert expected["n0_computed"] * table.s_L**2 + table.s_r**2 == close(expected["MSB"], rel=1e-7)
    assert table.s_r == close(expected["s_r_computed"], rel=1e-7)
    assert table.s_L**2 == close(expected["s_L2_computed"], rel=1e-7)
    assert table.s_R == close(expected["s_R_computed"], rel=1e-7)


@known("anova-dyestuff", "anova-unbalanced")
def test_variance_components_by_analysis_of_variance(case):
    # Sources: Dyestuff, Davies and Goldsmith (1972), as in R lme4 1.1-31; the unbalanced benches are
    # synthetic, worked with R anova(lm). Tolerance: relative 1e-6 (as printed, so half a last digit).
    expected = case["expected"]
    table = anova(case["inputs"]["groups"])
    assert table.s_r**2 == close(expected["MSW"], rel=1e-6)
    assert expected["n0_anova"] * table.s_L**2 + table.s_r**2 == close(expected["MSB"], rel=1e-6)
    assert table.s_r == close(expected["s_r_anova"], rel=1e-6)
    assert table.s_L**2 == close(expected["s_L2_anova"], rel=1e-6)
    assert table.s_R == close(expected["s_R_anova"], rel=1e-6)
    if "s_L2" in expected:
        assert table.s_L**2 == close(expected["s_L2"], rel=1e-6)
        assert table.s_r == close(expected["s_r"], rel=1e-6)


@known("anova-dyestuff", "anova-unbalanced")
def test_variance_components_by_restricted_maximum_likelihood(case):
    # Sources: R lme4 1.1-31 lmer (Dyestuff: Bates et al. print sd 42.00 and 49.51) and nlme::lme.
    # Tolerance: relative 1e-4.
    expected = case["expected"]
    found = reml_components(case["inputs"]["groups"])
    assert found.converged
    if "reml_tau2" in expected:
        assert found.between == close(expected["reml_tau2"], rel=1e-4)
        assert found.within == close(expected["reml_sigma2"], rel=1e-4)
        assert found.mean == close(expected["reml_mean"], rel=1e-4)
    else:
        # Balanced, so restricted maximum likelihood and the analysis of variance agree exactly.
        assert sqrt(found.between) == close(42.00, abs=0.005)
        assert sqrt(found.within) == close(49.51, abs=0.005)
        assert found.mean == close(expected["mean"], rel=1e-4)
    assert found.u_mean == close(expected["reml_se_mean"], rel=1e-4)


@known("mandel-glucose-A", "mandel-glucose-C", "mandel-glucose-E")
def test_mandel_s_h_and_k_and_cochran_s_test(case):
    # Source: ASTM E691 glucose in serum (data from the R packages ILS and PMCMRplus 1.9.10); critical
    # values agree with ISO 5725-2 p = 8, n = 3 (1.75/2.06, 1.67/1.97, 0.516/0.615, from memory).
    # Tolerance: relative 1e-8.
    expected = case["expected"]
    labs = case["inputs"]["labs"]
    p, n = len(labs), len(labs[0])
    found = consistency(labs)
    # With equal numbers of runs the figures of E691 are those of the analysis of variance.
    assert anova(labs).s_r == close(expected["s_r"], rel=1e-8)
    assert anova(labs).s_R == close(expected["s_R"], rel=1e-8)
    assert list(found.h) == close(expected["h"], rel=1e-8)
    assert list(found.k) == close(expected["k"], rel=1e-8)
    assert found.cochran_C == close(expected["cochran_C"], rel=1e-8)
    for alpha, name in ((0.05, "5"), (0.01, "1"), (0.005, "0p5")):
        assert mandel_h_critical(p, alpha) == close(expected[f"h_crit_{name}"], rel=1e-8)
        assert mandel_k_critical(p, n, alpha) == close(expected[f"k_crit_{name}"], rel=1e-8)
    assert cochran_critical(p, n, 0.05) == close(expected["C_crit_5"], rel=1e-8)
    assert cochran_critical(p, n, 0.01) == close(expected["C_crit_1"], rel=1e-8)
