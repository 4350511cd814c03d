"""Outlier tests against the handbooks' worked examples that stand in cases.json."""

import numpy as np

from tests.oracles.grubbs import grubbs, grubbs_critical
from tests.oracles.outliers import generalized_esd, modified_z
from tests.reference.known import close, known


@known("modz-ih", "modz-mad0", "modz-all-equal", "modz-rosner")
def test_modified_z_scores_and_who_is_flagged(case):
    # Sources: Iglewicz and Hoaglin (1993), example data (from memory); ties of a 0.5 °C thermometer
    # (synthetic, the fallback's formula from memory); Rosner's values. Tolerance: relative 1e-9.
    expected = case["expected"]
    scored = modified_z(case["inputs"]["x"], np.zeros(len(case["inputs"]["x"]), dtype=int))
    assert scored.median[0] == close(expected["median"], rel=1e-9)
    assert scored.mad[0] == close(expected["MAD"], rel=1e-9)
    assert scored.mean_ad[0] == close(expected["meanAD"], rel=1e-9)
    assert list(scored.scores) == close(expected["M"], rel=1e-9)
    assert np.flatnonzero(scored.flagged).tolist() == expected["flag_abs_gt_3.5"]


@known("grubbs-nist")
def test_grubbs_test_of_the_handbook_one_sided_and_two_sided(case):
    # Source: NIST/SEMATECH e-Handbook 1.3.5.17.1 (its one-sided critical value from memory).
    # Tolerances: 1e-3 for the published figures, 1e-8 for the full ones.
    x, expected = case["inputs"]["x"], case["expected"]
    one, two = grubbs(x, side="largest"), grubbs(x)
    assert one.g == close(expected["G"], abs=1e-3)
    assert one.g == close(expected["G_full"], abs=1e-8)
    assert two.g == close(expected["G_full"], abs=1e-8)
    assert one.critical == close(expected["crit_one_sided_5"], abs=1e-3)
    assert one.critical == close(expected["crit_one_sided_full"], abs=1e-8)
    assert two.critical == close(expected["crit_two_sided_full"], abs=1e-8)
    assert two.critical == grubbs_critical(len(x))
    assert one.index == two.index == expected["index"]
    assert one.outlier
    assert two.outlier


@known("gesd-rosner")
def test_the_generalized_esd_test_finds_three_though_its_first_step_is_quiet(case):
    # Source: Rosner (1983), NIST/SEMATECH e-Handbook 1.3.5.17.3. Tolerances: 2e-3 published, 1e-8 full.
    expected = case["expected"]
    found = generalized_esd(case["inputs"]["x"], case["inputs"]["r"], case["inputs"]["alpha"])
    assert list(found.r) == close(expected["R"], abs=2e-3)
    assert list(found.critical) == close(expected["lam"], abs=2e-3)
    assert list(found.r) == close(expected["R_full"], rel=1e-8)
    assert list(found.critical) == close(expected["lam_full"], rel=1e-8)
    assert len(found.outliers) == expected["n_outliers"]
    assert found.r[0] < found.critical[0]
