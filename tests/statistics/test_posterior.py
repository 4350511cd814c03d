"""The draws of a posterior against distributions whose quantiles are known elsewhere (scipy.stats)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from app.statistics.posterior import Draws, TooFewEffectiveDraws, covariance_at, find_mode, sample

MEASURED = np.array([127.1, 131.4, 125.9, 129.8, 133.0])


def log_normal_posterior(points: np.ndarray) -> np.ndarray:
    """Of a normal mean and the logarithm of its standard deviation, flat priors in both."""
    mean, sd = points[:, :1], np.exp(points[:, 1:])
    return np.asarray(-((MEASURED - mean) ** 2 / (2 * sd**2)).sum(axis=1) - len(MEASURED) * points[:, 1])


def measured(draws: int = 8192) -> Draws:
    return sample(log_normal_posterior, np.array([[120.0, 0.0]]), np.array([2.0, 0.4]), draws, spare=2)


def test_the_mean_of_a_normal_with_unknown_spread_is_student_t() -> None:
    """A textbook posterior: (μ − mean)/(s/√n) is Student's t with n − 1 degrees of freedom (from memory)."""
    found = measured()
    expected = stats.t(4, MEASURED.mean(), MEASURED.std(ddof=1) / np.sqrt(5))
    half = expected.ppf(0.975) - expected.ppf(0.5)
    assert found.median(found.points[:, 0]) == pytest.approx(expected.ppf(0.5), abs=0.02 * half)
    assert found.interval_95(found.points[:, 0]) == pytest.approx(
        (expected.ppf(0.025), expected.ppf(0.975)), abs=0.04 * half
    )


def test_its_spread_is_chi_squared() -> None:
    """(n − 1)s²/σ² is χ² with n − 1 degrees of freedom (from memory)."""
    found = measured()
    chi_squared = 4 * MEASURED.var(ddof=1) / np.exp(2 * found.points[:, 1])
    for p in (0.05, 0.25, 0.5, 0.75, 0.95):
        assert stats.chi2(4).cdf(found.quantiles(chi_squared, p)[0]) == pytest.approx(p, abs=0.01)


def test_correlated_normals_of_very_different_widths() -> None:
    covariance = np.array([[1e-4, 0.8e-2, 0.0], [0.8e-2, 1.0, -5.0], [0.0, -5.0, 100.0]])
    truth = stats.multivariate_normal([1.0, -2.0, 30.0], covariance)
    found = sample(
        lambda x: np.atleast_1d(truth.logpdf(x)), np.array([[1.1, -1.0, 20.0]]), np.array([0.02, 0.5, 20.0])
    )
    assert found.effective_share > 0.5
    assert found.mean(found.points) == pytest.approx([1.0, -2.0, 30.0], rel=0.01)
    away = found.points - found.mean(found.points)
    scatter = (away * found.weights[:, None]).T @ away
    assert scatter == pytest.approx(covariance, rel=0.1, abs=0.05)


def test_the_curvature_at_the_mode_of_a_normal_is_its_covariance() -> None:
    """The logarithm of its density is a quadratic form, for which central differences are exact."""
    covariance = np.array([[1e-4, 0.8e-2, 0.0], [0.8e-2, 1.0, -5.0], [0.0, -5.0, 100.0]])
    truth = stats.multivariate_normal([1.0, -2.0, 30.0], covariance)
    found = covariance_at(truth.logpdf, truth.mean, np.array([0.02, 0.5, 20.0]))
    assert found == pytest.approx(covariance, rel=1e-4, abs=1e-5)


def test_a_direction_without_curvature_gets_three_widths() -> None:
    widths = np.array([0.5, 20.0])
    found = covariance_at(lambda points: -0.5 * points[:, 1] ** 2, np.zeros(2), widths)
    assert np.sqrt(np.diag(found)) == pytest.approx([3 * 0.5, 1.0])


def test_two_modes_are_both_sampled() -> None:
    """A quarter of the mass in a narrow mode far from a wide one."""
    narrow, wide = stats.norm(-6.0, 0.1), stats.norm(4.0, 1.5)

    def log_density(points: np.ndarray) -> np.ndarray:
        return np.asarray(np.log(0.25 * narrow.pdf(points[:, 0]) + 0.75 * wide.pdf(points[:, 0])))

    found = sample(log_density, np.array([[-6.2], [2.0]]), np.array([1.0]))
    assert found.effective_share > 0.5
    assert float(found.weights[found.points[:, 0] < -5.0].sum()) == pytest.approx(0.25, abs=0.01)


def test_the_mode_is_found_from_far_away() -> None:
    """The mode of the posterior above in (μ, log σ): the mean, and σ² = Σ(x − mean)²/n."""
    mode = find_mode(log_normal_posterior, np.array([100.0, 3.0]), np.array([2.0, 0.4]))
    assert mode == pytest.approx([MEASURED.mean(), np.log(MEASURED.std())], abs=1e-3)


def test_the_same_density_gives_the_same_digits() -> None:
    assert measured().interval_95(measured().points[:, 0]) == measured().interval_95(measured().points[:, 0])


def test_spare_coordinates_are_standard_normal_and_independent() -> None:
    found = measured()
    for spare in found.spare.T:
        assert found.quantiles(spare, 0.025, 0.5, 0.975) == pytest.approx((-1.96, 0.0, 1.96), abs=0.08)
        assert abs(float(found.weights @ (spare * (found.points[:, 0] - MEASURED.mean())))) < 0.05


def test_weighing_anew_is_a_posterior_with_one_reading_more() -> None:
    found = measured(32768)
    mean, sd = found.points[:, 0], np.exp(found.points[:, 1])
    more = found.reweighted(stats.norm.pdf(128.0, mean, sd))
    six = np.append(MEASURED, 128.0)
    expected = stats.t(5, six.mean(), six.std(ddof=1) / np.sqrt(6))
    half = expected.ppf(0.975) - expected.ppf(0.5)
    assert more.interval_95(mean) == pytest.approx(
        (expected.ppf(0.025), expected.ppf(0.975)), abs=0.04 * half
    )


def test_weighing_anew_to_where_no_draw_lies_is_refused() -> None:
    found = measured()
    with pytest.raises(TooFewEffectiveDraws):
        found.reweighted(np.where(found.points[:, 0] == found.points[:, 0].max(), 1.0, 0.0))
    with pytest.raises(TooFewEffectiveDraws):
        found.reweighted(np.zeros(len(found.weights)))


def test_draws_are_kept_as_long_as_two_in_a_hundred_of_them_carry_the_weight() -> None:
    for draws, kept in ((50, True), (51, False)):
        found = Draws(np.zeros((draws, 1)), np.full(draws, 1 / draws), np.zeros((draws, 0)))
        one_of_them = np.where(np.arange(draws) == 7, 1.0, 0.0)
        if kept:
            assert found.reweighted(one_of_them).weights == pytest.approx(one_of_them)
        else:
            with pytest.raises(TooFewEffectiveDraws, match=r"only 2\.0 % of the tries"):
                found.reweighted(one_of_them)


def test_a_posterior_that_no_proposal_fits_is_refused_in_words() -> None:
    def many_spikes(points: np.ndarray) -> np.ndarray:
        return np.asarray((200.0 * np.cos(60.0 * points) - 0.5 * points**2).sum(axis=1))

    with pytest.raises(TooFewEffectiveDraws, match="do not settle on one result"):
        sample(many_spikes, np.zeros((1, 5)), np.ones(5))


def test_a_start_outside_the_density_is_refused() -> None:
    with pytest.raises(ValueError, match="start"):
        sample(lambda points: np.full(len(points), -np.inf), np.zeros((1, 2)), np.ones(2))
