"""Modified z-scores: many groups at once give what each group gives alone, and that is its definition."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation

from app.statistics.domain import OutsideDomain
from tests.oracles.outliers import medians_by_group, modified_z

steps = st.integers(-6, 6).map(lambda i: i * 0.5)
rows = st.lists(st.tuples(st.integers(0, 4), st.one_of(steps, st.floats(50, 400))), min_size=1, max_size=40)


@given(rows)
def test_medians_of_groups_are_numpys_and_those_of_empty_groups_are_nothing(rows):
    codes, values = (np.array(column) for column in zip(*rows, strict=True))
    counts = np.bincount(codes, minlength=5)
    found = medians_by_group(values, codes, counts)
    for group in range(5):
        assert found[group] == (np.median(values[codes == group]) if counts[group] else 0.0)


@given(rows, st.sampled_from([0.0, 0.2, 5.0, "each"]))
def test_each_group_scores_as_it_does_alone(rows, floor):
    codes, values = (np.array(column) for column in zip(*rows, strict=True))
    floors = 0.1 + np.arange(len(values)) % 3 if floor == "each" else np.full(len(values), floor)
    scores = modified_z(values, codes, floors).scores
    for group in set(codes.tolist()):
        here = codes == group
        alone = modified_z(values[here], np.zeros(int(here.sum()), dtype=int), floors[here])
        assert scores[here] == pytest.approx(alone.scores, rel=1e-12, abs=1e-12)


def test_scores_are_distances_from_the_median_in_units_of_scipys_mad():
    values = np.array([2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3])
    expected = 0.6745 * (values - np.median(values)) / median_abs_deviation(values)
    assert modified_z(values, np.zeros(10, dtype=int)).scores == pytest.approx(expected, rel=1e-12)


def test_wrong_columns_are_named_errors():
    for values, codes, floor in (
        ([1.0, np.inf], [0, 0], 0.0),
        ([1.0, np.nan], [0, 0], 0.0),
        ([1.0, 2.0], [0], 0.0),
        ([1.0, 2.0], [0, -1], 0.0),
        ([1.0, 2.0], [0, 1], -1.0),
        ([1.0, 2.0], [0, 1], [1.0]),
        ([], np.zeros(0, dtype=int), 0.0),
    ):
        with pytest.raises(OutsideDomain):
            modified_z(values, np.array(codes), floor)
