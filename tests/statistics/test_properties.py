"""Whatever finite numbers come in: a finite answer, or one of the named errors.

And what must not matter does not: the unit, the order of the readings, where zero lies.
"""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.statistics.domain import OutsideDomain
from app.statistics.influence import influence
from app.statistics.lines import line_through_origin, line_with_offset
from app.statistics.robust import huber_line
from app.statistics.spread import anova, consistency
from tests.oracles.outliers import generalized_esd, modified_z

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


@given(fours)
def test_straight_lines_stay_finite(rows):
    x, y, ux, uy = columns(rows, 4)
    finite_or_refused(lambda: line_through_origin(x, y, ux, uy))
    finite_or_refused(lambda: line_with_offset(x, y, [1.0] * len(x)))
    finite_or_refused(lambda: line_with_offset(x, y, uy))
    finite_or_refused(lambda: line_with_offset(x, y, uy, least_sd=1.0))
    finite_or_refused(lambda: influence(x, y, [1.0] * len(x)))
    finite_or_refused(lambda: influence(x, y, uy))


@given(pairs)
def test_robust_estimates_stay_finite(rows):
    x, y = columns(rows, 2)
    finite_or_refused(lambda: huber_line(x, y))


@given(lists, awkward.map(abs))
def test_outlier_tests_stay_finite(values, floor):
    one_group = np.zeros(len(values), dtype=int)
    scored = finite_or_refused(lambda: modified_z(values, one_group, floor))
    if scored is not None:
        assert not scored.flagged.all(), "never everybody"
    finite_or_refused(lambda: modified_z(values, one_group))
    finite_or_refused(lambda: generalized_esd(values, 4))


@given(groups)
def test_spread_stays_finite(values):
    finite_or_refused(lambda: anova(values))
    finite_or_refused(lambda: consistency(values))


moderate = st.lists(
    st.tuples(st.floats(50, 400), st.floats(1, 30)), min_size=2, max_size=12, unique_by=lambda row: row[0]
)


@given(moderate, st.floats(1e-6, 1e6), st.randoms(use_true_random=False))
def test_lines_do_not_care_about_unit_or_order(rows, factor, random):
    x, y = (np.array(c) for c in columns(rows, 2))
    order = list(range(len(y)))
    random.shuffle(order)
    ux, uy = np.full(len(x), 3.0), np.full(len(x), 0.5)
    line = line_through_origin(x, y, ux, uy)
    scaled = line_through_origin(x[order] * factor, y[order], ux * factor, uy)
    assert scaled.slope == pytest.approx(line.slope / factor, rel=1e-9)
    assert scaled.u_slope == pytest.approx(line.u_slope / factor, rel=1e-6)
    even = np.ones(len(x))
    first, again = influence(x, y, even), influence(x[order] * factor, y[order] * factor, even)
    assert again.leverage == pytest.approx(first.leverage[order], rel=1e-9)


@given(st.lists(st.floats(50, 400), min_size=3, max_size=12), st.floats(1e-6, 1e6))
def test_outlier_scores_do_not_care_about_the_unit(values, factor):
    one_group = np.zeros(len(values), dtype=int)
    first = modified_z(values, one_group, 0.5)
    again = modified_z([v * factor for v in values], one_group, 0.5 * factor)
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
