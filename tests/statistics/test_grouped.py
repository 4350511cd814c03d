"""Many groups at once give what each group gives alone."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.statistics.domain import OutsideDomain
from app.statistics.grouped import modified_z_by_group
from app.statistics.outliers import modified_z

steps = st.integers(-6, 6).map(lambda i: i * 0.5)
rows = st.lists(st.tuples(st.integers(0, 4), st.one_of(steps, st.floats(50, 400))), min_size=1, max_size=40)


@given(rows, st.sampled_from([0.0, 0.2, 5.0]))
def test_each_group_scores_as_it_does_alone(rows, floor):
    codes, values = (np.array(column) for column in zip(*rows, strict=True))
    scores = modified_z_by_group(values, codes, floor)
    for group in set(codes.tolist()):
        alone = modified_z(values[codes == group], floor)
        assert scores[codes == group] == pytest.approx(alone.scores, rel=1e-12, abs=1e-12)


@given(rows)
def test_a_floor_for_each_value_works_too(rows):
    codes, values = (np.array(column) for column in zip(*rows, strict=True))
    floors = 0.1 + np.arange(len(values)) % 3
    scores = modified_z_by_group(values, codes, floors)
    for group in set(codes.tolist()):
        alone = modified_z(values[codes == group], floors[codes == group])
        assert scores[codes == group] == pytest.approx(alone.scores, rel=1e-12, abs=1e-12)


def test_a_run_without_a_value_scores_nothing_and_moves_nobody():
    values = np.array([1.0, 2.0, np.nan, 3.0, 40.0])
    scores = modified_z_by_group(values, np.zeros(5, dtype=int))
    assert np.isnan(scores[2])
    assert scores[[0, 1, 3, 4]] == pytest.approx(modified_z([1.0, 2.0, 3.0, 40.0]).scores)


def test_wrong_columns_are_named_errors():
    for values, codes, floor in (
        ([1.0, np.inf], [0, 0], 0.0),
        ([1.0, 2.0], [0], 0.0),
        ([1.0, 2.0], [0, -1], 0.0),
        ([1.0, 2.0], [0, 1], -1.0),
        ([1.0, 2.0], [0, 1], [1.0]),
    ):
        with pytest.raises(OutsideDomain):
            modified_z_by_group(values, np.array(codes), floor)
    assert len(modified_z_by_group([], np.array([], dtype=int))) == 0
