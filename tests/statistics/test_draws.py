"""Weighted draws by hand, and the mixture that they are drawn from against scipy.stats."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from scipy.special import logsumexp

from app.statistics.posterior import Draws, Proposal, TooFewEffectiveDraws, find_mode, sample

FOUR = Draws(
    points=np.array([[3.0], [1.0], [4.0], [2.0]]),
    weights=np.array([0.3, 0.1, 0.4, 0.2]),
    spare=np.array([[0.3], [0.1], [0.4], [0.2]]),
)
VALUES = FOUR.points[:, 0]


def test_mean_and_standard_deviation_are_weighted() -> None:
    """Σwx = 3 and Σw(x − 3)² = 0.4 + 0.2 + 0.4 = 1."""
    assert FOUR.mean(FOUR.points) == pytest.approx([3.0])
    assert FOUR.mean(VALUES) == pytest.approx(3.0)
    assert FOUR.sd(VALUES) == pytest.approx(1.0)


def test_quantiles_join_the_middles_of_the_steps() -> None:
    """The steps of 1, 2, 3 and 4 end at 0.1, 0.3, 0.6 and 1; their middles are 0.05, 0.2, 0.45 and 0.8."""
    middles = (0.05, 0.2, 0.45, 0.8)
    assert FOUR.quantiles(VALUES, *middles) == pytest.approx((1.0, 2.0, 3.0, 4.0))
    assert FOUR.median(VALUES) == pytest.approx(3.0 + 0.05 / 0.35)
    assert FOUR.quantiles(VALUES, 0.0, 1.0) == (1.0, 4.0)


def test_the_effective_share_is_kish_s() -> None:
    """(Σw)²/(n·Σw²) = 1/(4 × 0.3)."""
    assert FOUR.effective_share == pytest.approx(1 / 1.2)


def test_weighing_anew_multiplies_the_weights() -> None:
    """0.3 × 2, 0.1 × 0, 0.4 × 1 and 0.2 × 0 of 1."""
    changed = FOUR.reweighted(np.array([2.0, 0.0, 1.0, 0.0]))
    assert changed.weights == pytest.approx([0.6, 0.0, 0.4, 0.0])
    assert changed.points is FOUR.points


def test_an_even_choice_takes_one_draw_for_each_equal_step() -> None:
    """Cumulative weights 0.3, 0.4, 0.8, 1 in the order given; the tenths' middles are 0.05, 0.15, …, 0.95."""
    even = FOUR.evenly(10)
    assert even.points[:, 0].tolist() == [3.0] * 3 + [1.0] + [4.0] * 4 + [2.0] * 2
    assert even.spare[:, 0] == pytest.approx(even.points[:, 0] / 10)
    assert even.weights == pytest.approx([0.1] * 10)


def test_weights_that_add_up_to_a_hair_less_than_one_still_give_every_draw_wanted() -> None:
    almost = Draws(np.zeros((2, 1)), np.array([0.5, 0.4]), np.zeros((2, 1)))
    assert len(almost.evenly(100).points) == 100


@pytest.mark.parametrize(("others", "is_refused"), [(1e-9, True), (0.1, False)])
def test_a_fiftieth_of_the_draws_has_to_carry_weight(others: float, is_refused: bool) -> None:
    """One of 40 draws is a share of 0.025, one of 60 a share of 0.017."""
    for number in (40, 60):
        weights = np.full(number, 1 / number)
        draws = Draws(np.zeros((number, 1)), weights, np.zeros((number, 0)))
        only_one = np.full(number, others if number == 60 else 1e-9)
        only_one[0] = 1.0
        if number == 60 and is_refused:
            with pytest.raises(TooFewEffectiveDraws, match=r"only 1\.7 % of the tries carry weight") as said:
                draws.reweighted(only_one)
            assert said.value.effective_share == pytest.approx(1 / 60, rel=1e-6)
        else:
            assert draws.reweighted(only_one).effective_share > 0.02


TWO = Proposal(
    shares=np.array([0.3, 0.7]),
    means=np.array([[0.0, 1.0], [5.0, -2.0]]),
    scales=np.array([[[1.0, 0.3], [0.3, 2.0]], [[0.2, 0.0], [0.0, 0.5]]]),
)


def test_the_mixture_is_one_of_student_t_with_five_degrees_of_freedom() -> None:
    points = np.random.default_rng(3).normal(size=(50, 2), scale=3.0)
    ours = TWO.log_densities(points)
    theirs = np.stack(
        [
            np.log(share) + stats.multivariate_t(mean, scale, df=5).logpdf(points)
            for share, mean, scale in zip(TWO.shares, TWO.means, TWO.scales, strict=True)
        ],
        axis=1,
    )
    apart = ours - theirs
    assert apart == pytest.approx(np.full_like(apart, apart[0, 0]), abs=1e-9), "up to one constant"


def test_draws_from_the_mixture_have_its_shares_and_its_shape() -> None:
    points, spare = TWO.draw(4096, 1)
    second = points[:, 0] > 2.5
    assert float(second.mean()) == pytest.approx(0.7, abs=0.02)
    one = Proposal(np.ones(1), TWO.means[:1], TWO.scales[:1])
    alone, _ = one.draw(4096, 1)
    for axis, (mean, scale) in enumerate(((0.0, 1.0), (1.0, 2.0))):
        found = np.quantile(alone[:, axis], (0.025, 0.25, 0.5, 0.75, 0.975))
        expected = mean + np.sqrt(scale) * stats.t(5).ppf((0.025, 0.25, 0.5, 0.75, 0.975))
        assert found == pytest.approx(expected, abs=0.1)
    assert np.quantile(spare[:, 0], (0.025, 0.5, 0.975)) == pytest.approx((-1.96, 0.0, 1.96), abs=0.05)


def test_one_component_more_has_the_mean_share_and_the_others_keep_their_proportion() -> None:
    more = TWO.with_component(np.array([9.0, 9.0]), np.eye(2))
    assert more.shares == pytest.approx([0.2, 0.7 * 2 / 3, 1 / 3])
    assert more.means.tolist() == [*TWO.means.tolist(), [9.0, 9.0]]
    assert more.scales[2].tolist() == np.eye(2).tolist()


def test_a_mode_that_no_start_was_near_is_found_by_its_heavy_draws() -> None:
    """A fifth of the mass lies eight widths away, as wide as the rest."""
    here, there = stats.norm(0.0, 1.0), stats.norm(8.0, 1.0)

    def log_density(points: np.ndarray) -> np.ndarray:
        x = points[:, 0]
        parts = np.stack([np.log(0.8) + here.logpdf(x), np.log(0.2) + there.logpdf(x)])
        return np.asarray(logsumexp(parts, axis=0))

    found = sample(log_density, np.array([[0.3]]), np.array([1.0]))
    assert float(found.weights[found.points[:, 0] > 4.0].sum()) == pytest.approx(0.2, abs=0.02)


def test_the_mode_of_a_tilted_valley_is_found_to_a_thousandth_of_a_width() -> None:
    truth = stats.multivariate_normal([3.0, -40.0], [[1.0, 9.0], [9.0, 100.0]])
    mode = find_mode(lambda points: np.atleast_1d(truth.logpdf(points)), np.zeros(2), np.array([1.0, 10.0]))
    assert (mode - [3.0, -40.0]) / [1.0, 10.0] == pytest.approx([0.0, 0.0], abs=2e-3)
