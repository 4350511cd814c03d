"""Pooling against R's metafor (version 3.8-1), whose figures stand in cases.json."""

from math import sqrt

import numpy as np
import pytest

from app.statistics.random_effects import paule_mandel
from tests.oracles.pooling import pool
from tests.reference.known import close, known

METHODS = {"DL": "dersimonian-laird", "PM": "paule-mandel", "REML": "reml"}


@pytest.mark.parametrize("name", METHODS)
@known("meta-bcg", "meta-bench5", "meta-bench4_tau0", "meta-bench2", "meta-bench3")
def test_every_figure_of_metafor_is_met(case, name):
    # Source: R metafor 3.8-1 rma(), test="knha" and test="adhoc"; data dat.bcg (Colditz et al. 1994)
    # and synthetic benches. Tolerances: τ² 1e-4 (1e-9 for DerSimonian–Laird), the rest 1e-4.
    expected = case["expected"][name]
    pooled = pool(case["inputs"]["yi"], [sqrt(v) for v in case["inputs"]["vi"]], METHODS[name])
    assert pooled.converged
    assert pooled.tau2 == close(expected["tau2"], rel=1e-9 if name == "DL" else 1e-4)
    assert pooled.tau == close(sqrt(expected["tau2"]), rel=1e-4)
    assert pooled.mean == close(expected["mu"], rel=1e-4)
    assert pooled.u_fixed_tau == close(expected["se"], rel=1e-4)
    assert pooled.q == close(expected["Q"], rel=1e-4)
    assert pooled.i2_percent == close(expected["I2"], rel=1e-4)
    assert pooled.u("hartung-knapp") == close(expected["seHK"], rel=1e-4)
    assert pooled.u_mean == close(expected["seAdhoc"], rel=1e-4)
    assert pooled.interval("hartung-knapp") == close(tuple(expected["ciHK"]), rel=1e-4)
    assert pooled.interval("normal") == close(tuple(expected["ciZ"]), rel=1e-4)
    assert pooled.interval() == close(tuple(expected["ciAdhoc"]), rel=1e-4)
    assert pooled.interval_95 == close(tuple(expected["ciAdhoc"]), rel=1e-4)
    assert pooled.prediction_interval("hartung-knapp") == close(tuple(expected["piHK"]), rel=1e-4)


@known("meta-bcg", "meta-bench5", "meta-bench4_tau0", "meta-bench2", "meta-bench3")
def test_our_own_accuracy_is_far_inside_the_tolerance(case):
    """The tolerance above covers iterations of other programs; ours must not hide behind it."""
    for name, method in METHODS.items():
        expected = case["expected"][name]
        pooled = pool(case["inputs"]["yi"], [sqrt(v) for v in case["inputs"]["vi"]], method)
        assert pooled.tau2 == close(expected["tau2"], rel=1e-9)
        assert pooled.mean == close(expected["mu"], rel=1e-9)
        assert pooled.interval_95 == close(tuple(expected["ciAdhoc"]), rel=1e-9)


@known("meta-bcg", "meta-bench5", "meta-bench4_tau0", "meta-bench2", "meta-bench3")
def test_the_mean_that_ships_meets_metafor_too(case):
    # Source and tolerances: as above.
    expected = case["expected"]["PM"]
    found = paule_mandel(np.array(case["inputs"]["yi"]), np.array(case["inputs"]["vi"]))
    assert found.tau2 == close(expected["tau2"], rel=1e-4)
    assert found.mean == close(expected["mu"], rel=1e-4)
    assert found.u_mean == close(expected["se"], rel=1e-4)
    assert found.u_mean * sqrt(found.q) == close(expected["seHK"], rel=1e-4)
