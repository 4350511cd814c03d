"""The linear mixed model against published worked examples and against another program."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf
from statsmodels.stats.multitest import multipletests

from app.statistics.domain import OutsideDomain
from app.statistics.mixed import NO_GROUP, MixedFit, mixed_model
from app.statistics.multiple_testing import holm

# J. C. Pinheiro and D. M. Bates, Mixed-Effects Models in S and S-PLUS, Springer 2000, section 1.1: three
# travel times of a wave on each of six rails, in ns beyond 36 100.
RAIL = np.array([55, 53, 54, 26, 37, 32, 78, 91, 85, 92, 100, 96, 49, 51, 50, 80, 85, 83], dtype=float)

# O. L. Davies and P. L. Goldsmith, Statistical Methods in Research and Production, 4th ed. 1972, table 6.6,
# as the data set `Penicillin` of the R package lme4 has it: six samples (columns) on each of 24 plates.
PENICILLIN = """
27 23 26 23 23 21 27 23 26 23 23 21 25 21 25 24 24 20 26 23 25 23 23 20 25 22 26 22 23 20 24 22 25 23 22 19
24 20 23 21 22 19 26 22 26 24 24 21 24 21 24 22 22 20 24 21 24 23 22 19 26 23 26 24 24 21 25 22 26 24 24 20
26 24 26 24 25 22 26 23 26 23 23 20 26 23 25 24 24 22 25 22 25 23 23 20 25 21 24 23 23 20 25 22 24 23 23 19
24 21 23 21 21 19 26 23 26 24 24 21 25 21 24 22 22 18 25 22 25 22 22 20 24 21 24 22 24 19 24 21 24 22 21 18
"""


def a_mean(count: int) -> np.ndarray:
    return np.ones((count, 1))


def test_the_rails_of_pinheiro_and_bates() -> None:
    fit = mixed_model(RAIL, a_mean(18), {"rail": np.repeat(np.arange(6), 3)})
    # Printed on p. 8 for the restricted likelihood: 66.5 ± 10.17104, 24.80547, 4.020779, −61.0885 (the digits
    # and the effects from memory).
    assert fit.beta[0] == pytest.approx(66.5)
    assert fit.u_beta[0] == pytest.approx(10.17104, abs=5e-6)
    assert fit.groupings["rail"].sd == pytest.approx(24.80547, abs=5e-6)
    assert fit.residual_sd == pytest.approx(4.020779, abs=5e-7)
    assert fit.minus_two_log_likelihood / -2 == pytest.approx(-61.0885, abs=5e-5)
    printed = [-12.39148, -34.53091, 18.00894, 29.24388, -16.35675, 16.02631]
    assert fit.groupings["rail"].effects == pytest.approx(printed, abs=1e-5)


def test_two_crossed_groupings_of_davies_and_goldsmith() -> None:
    values = np.array(PENICILLIN.split(), dtype=float)
    plates, samples = np.repeat(np.arange(24), 6), np.tile(np.arange(6), 24)
    fit = mixed_model(values, a_mean(144), {"sample": samples, "plate": plates})
    # Restricted likelihood in the tests of the Julia package MixedModels: criterion 330.86058899, mean
    # 22.97222222, standard deviations 0.846704, 1.931556 and 0.549923, standard error 0.80857.
    assert fit.minus_two_log_likelihood == pytest.approx(330.86058899, abs=1e-6)
    assert fit.beta[0] == pytest.approx(22.97222222, abs=1e-8)
    assert fit.u_beta[0] == pytest.approx(0.80857, abs=5e-5)
    assert fit.groupings["plate"].sd == pytest.approx(0.846704, abs=1e-5)
    assert fit.groupings["sample"].sd == pytest.approx(1.931556, abs=5e-5)
    assert fit.residual_sd == pytest.approx(0.549923, abs=1e-5)


def test_nested_and_crossed_with_a_slope_as_statsmodels_has_it() -> None:
    chance = np.random.default_rng(3)
    days = np.repeat(np.arange(8), 18)
    places = np.repeat(np.arange(48), 3)
    tools = np.concatenate([np.repeat(chance.permutation(9)[:6], 3) for _ in range(8)])
    x = chance.normal(size=144)
    y = 2.0 + 0.7 * x + chance.normal(0, 3, 8)[days] + chance.normal(0, 2, 48)[places]
    y = y + chance.normal(0, 2.5, 9)[tools] + chance.normal(0, 1.5, 144)
    groups = {"day": days, "place": places, "tool": tools}
    ours = mixed_model(y, np.column_stack([np.ones(144), x]), groups)
    table = pd.DataFrame({**groups, "x": x, "y": y, "all": 1})
    parts = {name: f"0 + C({name})" for name in groups}
    theirs = smf.mixedlm("y ~ x", table, groups="all", vc_formula=parts).fit(reml=True)
    assert ours.minus_two_log_likelihood == pytest.approx(-2 * theirs.llf, rel=1e-6)
    assert ours.beta == pytest.approx(theirs.fe_params.to_numpy(), rel=1e-3)
    # Theirs comes from differences of the likelihood; `whole` below has it exactly.
    assert ours.u_beta == pytest.approx(theirs.bse_fe.to_numpy(), rel=2e-2)
    variances = dict(zip(theirs.model.exog_vc.names, theirs.vcomp, strict=True))
    for name, grouping in ours.groupings.items():
        assert grouping.sd == pytest.approx(variances[name] ** 0.5, rel=5e-3)
    assert ours.residual_sd == pytest.approx(theirs.scale**0.5, rel=5e-3)
    effects = theirs.random_effects[1].filter(like="tool").to_numpy()
    assert ours.groupings["tool"].effects == pytest.approx(effects, rel=5e-3, abs=5e-3)


def test_the_errors_of_the_effects_are_those_of_the_whole_inverse() -> None:
    """Henderson's equations set up in full, and inverted at the standard deviations found."""
    chance = np.random.default_rng(5)
    places, tools = np.repeat(np.arange(10), 3), np.tile([0, 1, NO_GROUP], 10)
    tools[:15] = np.where(tools[:15] >= 0, 1 - tools[:15], 2)
    known = chance.uniform(0.1, 0.6, 30)
    y = chance.normal(0, 2, 10)[places] + chance.normal(0, 1, 30) + 3.0 * (tools == 1)
    fit = mixed_model(y, a_mean(30), {"place": places, "tool": tools}, known)
    z = np.hstack([places[:, None] == np.arange(10), tools[:, None] == np.arange(3)]).astype(float)
    sds = np.repeat([fit.groupings["place"].sd, fit.groupings["tool"].sd], [10, 3])
    assert sds.min() > 0
    w = np.hstack([a_mean(30), z])
    weights = 1 / (fit.residual_sd**2 + known)
    whole = np.linalg.inv((w.T * weights) @ w + np.diag(np.r_[0, 1 / sds**2]))
    solved = whole @ (w.T @ (weights * y))
    together = [fit.groupings[name] for name in ("place", "tool")]
    assert np.concatenate([one.effects for one in together]) == pytest.approx(solved[1:], abs=1e-8)
    assert np.concatenate([one.u_effects for one in together]) == pytest.approx(
        np.sqrt(np.diag(whole))[1:], rel=1e-8
    )
    assert fit.u_beta[0] == pytest.approx(whole[0, 0] ** 0.5, rel=1e-8)


def test_another_unit_changes_nothing_but_the_unit() -> None:
    groups = {"rail": np.repeat(np.arange(6), 3)}
    one, thousand = mixed_model(RAIL, a_mean(18), groups), mixed_model(1000 * RAIL, a_mean(18), groups)
    assert thousand.groupings["rail"].effects == pytest.approx(1000 * one.groupings["rail"].effects)
    assert thousand.residual_sd == pytest.approx(1000 * one.residual_sd)
    assert thousand.u_beta == pytest.approx(1000 * one.u_beta)


def test_groups_that_do_not_differ_have_no_effect() -> None:
    values = np.array([1.0, 2.0, 3.0, 3.0, 1.0, 2.0, 2.0, 3.0, 1.0])
    fit = mixed_model(values, a_mean(9), {"alike": np.repeat(np.arange(3), 3)})
    assert fit.groupings["alike"].sd == 0.0
    assert fit.groupings["alike"].effects == pytest.approx([0.0, 0.0, 0.0])
    assert fit.residual_sd == pytest.approx(np.std(values, ddof=1), rel=1e-5)


def test_columns_that_say_the_same_are_refused() -> None:
    with pytest.raises(OutsideDomain):
        mixed_model(RAIL, np.ones((18, 2)), {"rail": np.repeat(np.arange(6), 3)})


def test_two_values_more_than_columns_are_enough_and_one_is_not() -> None:
    least = mixed_model([1.0, 2.0, 4.0], a_mean(3), {"pair": np.array([0, 0, 1])})
    assert least.beta[0] == pytest.approx(np.average([1.5, 4.0], weights=1 / _variances_of_means(least)))
    with pytest.raises(OutsideDomain):
        mixed_model([1.0, 2.0], a_mean(2), {"pair": np.array([0, 1])})


def _variances_of_means(fit: MixedFit) -> np.ndarray:
    """Of the mean of a pair and of one value alone, by hand."""
    between, within = fit.groupings["pair"].sd ** 2, fit.residual_sd**2
    return np.array([between + within / 2, between + within])


def test_holm_as_statsmodels_has_it() -> None:
    p_values = np.array([0.012, 0.3, 0.0004, 0.04, 0.04, 0.6, 0.9])
    expected = multipletests(p_values, method="holm")[1]
    assert holm(p_values) == pytest.approx(expected)
