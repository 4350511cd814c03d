"""Spread within and between benches against certified and published values in cases.json."""

from app.statistics.spread import anova
from tests.reference.known import close, known


@known("anova-SiRstv")
def test_the_certified_analysis_of_variance_is_met(case):
    # Source: NIST Statistical Reference Datasets, SiRstv. Tolerance: relative 1e-7.
    expected = case["expected"]
    table = anova(case["inputs"]["groups"])
    assert table.ss_between == close(expected["SSB"], rel=1e-7)
    assert table.ms_between == close(expected["MSB"], rel=1e-7)
    assert table.f == close(expected["F"], rel=1e-7)
    assert table.ss_within == close(expected["SSW"], rel=1e-7)
    assert table.ms_within == close(expected["MSW"], rel=1e-7)
    assert table.n0 == close(expected["n0_computed"], rel=1e-7)
    assert table.s_r == close(expected["s_r_computed"], rel=1e-7)
    assert table.s_L2 == close(expected["s_L2_computed"], rel=1e-7)
    assert table.s_R == close(expected["s_R_computed"], rel=1e-7)


@known("anova-dyestuff", "anova-unbalanced")
def test_variance_components_by_analysis_of_variance(case):
    # Sources: Dyestuff, Davies and Goldsmith (1972), as in R lme4 1.1-31; the unbalanced benches are
    # synthetic, worked with R anova(lm). Tolerance: relative 1e-6 (as printed, so half a last digit).
    expected = case["expected"]
    table = anova(case["inputs"]["groups"])
    assert table.ss_between == close(expected["SSB"], rel=1e-6)
    assert table.ss_within == close(expected["SSW"], rel=1e-6)
    assert table.ms_between == close(expected["MSB"], rel=1e-6)
    assert table.ms_within == close(expected["MSW"], rel=1e-6)
    assert table.n0 == close(expected["n0_anova"], rel=1e-6)
    assert table.s_r == close(expected["s_r_anova"], rel=1e-6)
    assert table.s_L2 == close(expected["s_L2_anova"], rel=1e-6)
    assert table.s_L2_untruncated == close(expected["s_L2_untruncated_anova"], rel=1e-6)
    assert table.s_R == close(expected["s_R_anova"], rel=1e-6)
    if "F" in expected:
        assert table.f == close(expected["F"], rel=1e-6)
    if "s_L2" in expected:
        assert table.s_L2 == close(expected["s_L2"], rel=1e-6)
        assert table.s_r == close(expected["s_r"], rel=1e-6)
        assert table.mean == close(expected["mean"], rel=1e-6)
