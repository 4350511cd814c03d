"""The oracles against independent general libraries, and where there is little to say."""

from statistics import fmean

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar
from statsmodels.robust.scale import Huber
from statsmodels.stats.meta_analysis import combine_effects

from app.statistics.domain import OutsideDomain
from tests.oracles.grubbs import grubbs
from tests.oracles.pooling import pool
from tests.oracles.robust import huber_mean


def benches(seed, k=9, tau=8.0):
    rng = np.random.default_rng(seed)
    u = rng.uniform(3, 9, k)
    return rng.normal(130, tau, k) + rng.normal(0, u), u


@pytest.mark.parametrize("seed", range(5))
def test_pooling_agrees_with_statsmodels(seed):
    # statsmodels' own Paule–Mandel stops at about 1e-7 in τ², hence the tolerance.
    y, u = benches(seed)
    for ours, theirs in (("dersimonian-laird", "dl"), ("paule-mandel", "iterated")):
        pooled, other = pool(y, u, ours), combine_effects(y, u**2, method_re=theirs, use_t=True)
        assert other.tau2 > 0, "a negative τ² is left standing there, so the comparison needs a positive one"
        assert pooled.tau2 == pytest.approx(other.tau2, rel=1e-5)
        assert pooled.mean == pytest.approx(other.mean_effect_re, rel=1e-7)
        assert pooled.u_fixed_tau == pytest.approx(other.sd_eff_w_re, rel=1e-5)
        assert pooled.u("hartung-knapp") == pytest.approx(other.sd_eff_w_re_hksj, rel=1e-5)
        assert pooled.q == pytest.approx(other.q, rel=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_the_fixed_effect_is_the_weighted_mean(seed):
    y, u = benches(seed)
    pooled = pool(y, u, "fixed")
    assert pooled.mean == pytest.approx(np.average(y, weights=1 / u**2), rel=1e-12)
    assert pooled.u_fixed_tau == pytest.approx(np.sqrt(1 / np.sum(1 / u**2)), rel=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_paule_mandel_by_brentq_and_reml_by_direct_search(seed):
    y, u = benches(seed)

    def q(tau2):
        w = 1 / (u**2 + tau2)
        return np.sum(w * (y - np.average(y, weights=w)) ** 2)

    def deviance(tau2):
        w = 1 / (u**2 + tau2)
        return -np.log(w).sum() + np.log(w.sum()) + q(tau2)

    root = brentq(lambda t: q(t) - (len(y) - 1), 0, 1e5, xtol=1e-12, rtol=1e-13)
    assert pool(y, u, "paule-mandel").tau2 == pytest.approx(root, rel=1e-9)
    best = minimize_scalar(deviance, bounds=(0, 1e4), method="bounded", options={"xatol": 1e-9})
    assert pool(y, u, "reml").tau2 == pytest.approx(best.x, rel=1e-5)


def test_proposal_2_agrees_with_statsmodels():
    values = np.append(np.random.default_rng(4).normal(130, 8, 15), 300.0)
    mean, scale = Huber(c=1.5, tol=1e-10)(values)
    found = huber_mean(values)
    assert (found.mean, found.sd) == pytest.approx((float(mean), float(scale)), rel=1e-5)


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


def test_grubbs_test_keeps_to_the_side_it_was_asked_for():
    values = [10.0, 10.1, 9.9, 10.0, 10.2, 2.0]
    assert grubbs(values, side="smallest").index == 5
    assert grubbs(values, side="largest").index == 4
    assert not grubbs(values, side="largest").outlier
    assert grubbs(values, side="smallest").critical < grubbs(values).critical


def test_a_robust_mean_of_one_value_or_ties_is_that_value():
    assert huber_mean([7.0]).mean == 7.0
    tied = huber_mean([7.0, 7.0, 7.0])
    assert (tied.mean, tied.sd) == (7.0, 0.0)
