"""Whatever finite numbers come in: a finite answer, or one of the named errors.

And what must not matter does not: the unit, the order of the readings, where zero lies.
"""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.statistics.clustered import fit_clustered
from app.statistics.consistency import consistency
from app.statistics.domain import OutsideDomain
from app.statistics.gum import mean_of_sets, propagate, welch_satterthwaite
from app.statistics.influence import influence
from app.statistics.model_choice import aicc, nested_f
from app.statistics.outliers import generalized_esd, grubbs, modified_z
from app.statistics.pooling import pool
from app.statistics.robust import bisquare_line, huber_line, huber_mean
from app.statistics.spread import anova, reml_components
from app.statistics.straight_line import fit_line, fit_york
from app.statistics.through_origin import fit_errors_in_both, fit_through_origin

anything = st.floats(allow_nan=False, allow_infinity=False)
# Ties, zeros, tiny differences and coarse steps find more than random digits do.
awkward = st.one_of(
    anything,
    st.sampled_from([0.0, 1.0, -1.0, 1e-300, 1e-60, 1e-59, 1e60, 1e59, 1e308, 130.0, 130.0 + 3e-14, 5e-324]),
    st.integers(-4, 4).map(lambda i: i * 0.5),
    st.floats(1e-3, 1e3),
)
lists = st.lists(awkward, min_size=0, max_size=8)
pairs = st.lists(st.tuples(awkward, awkward), max_size=8)
fours = st.lists(st.tuples(awkward, awkward, awkward.map(abs), awkward.map(abs)), max_size=8)
groups = st.lists(lists, max_size=5)


def every_number(result):
    """All numbers anywhere in a result."""
    if dataclasses.is_dataclass(result):
        for field in dataclasses.fields(result):
            yield from every_number(getattr(result, field.name))
    elif isinstance(result, np.ndarray):
        yield from (float(v) for v in result.ravel())
    elif isinstance(result, tuple | list):
        for item in result:
            yield from every_number(item)
    elif isinstance(result, int | float) and not isinstance(result, bool):
        yield float(result)


def finite_or_refused(compute):
    """Run it: all numbers finite, or the named error with a sentence."""
    with np.errstate(all="raise", under="ignore"):
        try:
            result = compute()
        except OutsideDomain:
            return None
    for number in every_number(result):
        assert math.isfinite(number)
    return result


def columns(rows, n):
    return [list(c) for c in zip(*rows, strict=True)] if rows else [[] for _ in range(n)]


@given(st.lists(st.tuples(awkward, awkward.map(abs)), max_size=8))
def test_pooling_stays_finite(rows):
    y, u = columns(rows, 2)
    for method in ("paule-mandel", "dersimonian-laird", "reml", "fixed"):
        pooled = finite_or_refused(lambda m=method: pool(y, u, m))
        if pooled is not None and pooled.k > 1:
            low, high = pooled.interval_95
            assert low <= pooled.mean <= high
            assert min(y) - abs(min(y)) * 1e-12 <= pooled.mean <= max(y) + abs(max(y)) * 1e-12
            assert pooled.tau2 >= 0.0
            assert pooled.u_mean >= pooled.u_fixed_tau * (1 - 1e-12)
            finite_or_refused(lambda p=pooled: p.prediction_interval())


@given(fours)
def test_straight_lines_stay_finite(rows):
    x, y, ux, uy = columns(rows, 4)
    finite_or_refused(lambda: fit_through_origin(x, y))
    finite_or_refused(lambda: fit_through_origin(x, y, uy))
    finite_or_refused(lambda: fit_errors_in_both(x, y, ux, uy))
    finite_or_refused(lambda: fit_york(x, y, ux, uy))
    finite_or_refused(lambda: fit_line(x, y))
    finite_or_refused(lambda: fit_line(x, y, uy))
    found = finite_or_refused(lambda: influence(x, y))
    if found is not None:
        finite_or_refused(found.bonferroni_limit)
        for i in range(found.n):
            finite_or_refused(lambda i=i: found.bonferroni_probability(i))
    finite_or_refused(lambda: influence(x, y, uy, floor_sd=0.1))
    finite_or_refused(lambda: influence(np.column_stack([np.ones(len(x)), x]) if x else [], y))


@given(pairs)
def test_robust_estimates_stay_finite(rows):
    x, y = columns(rows, 2)
    finite_or_refused(lambda: huber_line(x, y))
    finite_or_refused(lambda: bisquare_line(x, y))
    finite_or_refused(lambda: huber_mean(y))


@given(lists, awkward.map(abs))
def test_outlier_tests_stay_finite(values, floor):
    scored = finite_or_refused(lambda: modified_z(values, floor))
    if scored is not None:
        assert len(scored.flagged()) < max(1, len(values)), "never everybody"
    finite_or_refused(lambda: modified_z(values))
    for side in ("both", "largest", "smallest"):
        finite_or_refused(lambda s=side: grubbs(values, side=s))
    finite_or_refused(lambda: generalized_esd(values, 4))


@given(groups)
def test_spread_stays_finite(values):
    finite_or_refused(lambda: anova(values))
    finite_or_refused(lambda: reml_components(values))
    found = finite_or_refused(lambda: consistency(values))
    if found is not None:
        finite_or_refused(lambda: (found.h_critical(), found.k_critical(), found.cochran_critical()))


@given(st.lists(st.tuples(awkward, awkward, awkward.map(abs), st.integers(0, 4)), max_size=9))
def test_clustered_fits_stay_finite(rows):
    x, y, w, labels = columns(rows, 4)
    for design in (np.array(x, dtype=float).reshape(-1, 1), np.column_stack([np.ones(len(x)), x or []])):
        fit = finite_or_refused(lambda d=design: fit_clustered(d, y, labels, w))
        if fit is not None:
            finite_or_refused(lambda f=fit: [f.coefficient(j) for j in range(len(f.coefficients))])


@given(st.lists(st.tuples(awkward, awkward.map(abs)), max_size=4))
def test_propagation_stays_finite(rows):
    x, u = columns(rows, 2)
    finite_or_refused(lambda: propagate(lambda q: [q.sum(), 2.0 * q[0]], x, u))
    finite_or_refused(lambda: welch_satterthwaite(x, [3.0] * len(x)))
    finite_or_refused(lambda: mean_of_sets(np.array(rows)))


@given(awkward.map(abs), awkward.map(abs), st.integers(1, 9))
def test_model_choice_stays_finite(small, large, n):
    finite_or_refused(lambda: aicc(small, n, 1, large))
    finite_or_refused(lambda: nested_f(small, 1, large, 2, n))


moderate = st.lists(
    st.tuples(st.floats(50, 400), st.floats(1, 30)), min_size=2, max_size=12, unique_by=lambda row: row[0]
)


@given(moderate, st.floats(1e-6, 1e6), st.randoms(use_true_random=False))
@settings(deadline=None)
def test_pooling_does_not_care_about_unit_order_or_origin(rows, factor, random):
    y, u = (np.array(c) for c in columns(rows, 2))
    order = list(range(len(y)))
    random.shuffle(order)
    for method in ("paule-mandel", "dersimonian-laird", "reml"):
        first = pool(y, u, method)
        scaled = pool(y[order] * factor, u[order] * factor, method)
        shifted = pool(y + 1000.0, u, method)
        # τ² near its boundary amplifies rounding; its effect on the answer does not.
        assert scaled.mean == pytest.approx(first.mean * factor, rel=1e-7)
        assert scaled.u_mean == pytest.approx(first.u_mean * factor, rel=1e-6)
        assert shifted.mean - 1000.0 == pytest.approx(first.mean, rel=1e-6)
        assert shifted.u_mean == pytest.approx(first.u_mean, rel=1e-6)


@given(moderate, st.floats(1e-6, 1e6), st.randoms(use_true_random=False))
def test_lines_do_not_care_about_unit_or_order(rows, factor, random):
    x, y = (np.array(c) for c in columns(rows, 2))
    order = list(range(len(y)))
    random.shuffle(order)
    ux, uy = np.full(len(x), 3.0), np.full(len(x), 0.5)
    for fit in (
        lambda x, y, s, t: fit_errors_in_both(x, y, s, t),
        lambda x, y, s, t: fit_through_origin(x, y),
    ):
        first = fit(x, y, ux, uy)
        again = fit(x[order] * factor, y[order], ux * factor, uy)
        assert again.slope == pytest.approx(first.slope / factor, rel=1e-9)
        assert again.u_slope == pytest.approx(first.u_slope / factor, rel=1e-6)
    first, again = influence(x, y), influence(x[order] * factor, y[order] * factor)
    assert again.leverage == pytest.approx(first.leverage[order], rel=1e-9)


@given(st.lists(st.floats(50, 400), min_size=3, max_size=12), st.floats(1e-6, 1e6))
def test_outlier_scores_do_not_care_about_the_unit(values, factor):
    first, again = modified_z(values, 0.5), modified_z([v * factor for v in values], 0.5 * factor)
    assert again.scores == pytest.approx(first.scores, rel=1e-6, abs=1e-9)
    one, other = (
        consistency([values, values[::-1], values[1:]]),
        consistency([values, values[::-1], values[1:]]),
    )
    assert one == other


def test_the_order_of_benches_does_not_change_their_spread():
    benches = [[118.0, 124, 121], [139, 133], [127, 129, 122, 131], [133.0]]
    one, other = anova(benches), anova([b[::-1] for b in benches[::-1]])
    for field in dataclasses.fields(one):
        assert getattr(other, field.name) == pytest.approx(getattr(one, field.name), rel=1e-12)
    assert consistency(benches[::-1]).h == pytest.approx(consistency(benches).h[::-1], rel=1e-9)
