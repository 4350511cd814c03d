"""One bench by itself: mean, repeatability, and what more runs would bring."""

from __future__ import annotations

import pytest
from scipy import stats

from app.analysis.views.one_bench import own_result, runs_to_halve_the_interval


def test_mean_repeatability_and_interval_are_students() -> None:
    values = [212.0, 233.0, 220.0]
    result = own_result(values)
    assert result is not None
    expected = stats.ttest_1samp(values, 0).confidence_interval(0.95)  # scipy as the outside reference
    assert result.interval_95 == pytest.approx((expected.low, expected.high))
    assert result.repeatability_sd_J_per_kg_K == pytest.approx(stats.tstd(values))


def test_one_run_has_no_interval_and_is_told_to_repeat() -> None:
    result = own_result([212.0])
    assert result is not None
    assert result.interval_95 is None
    assert "second" in str(result.advice)


def test_runs_without_warming_are_left_out_and_none_left_is_no_result() -> None:
    assert own_result([None, None]) is None
    result = own_result([None, 200.0, 220.0])
    assert result is not None
    assert result.runs == 2


@pytest.mark.parametrize(("runs", "more"), [(2, 1), (3, 2), (4, 5)])
def test_how_many_more_runs_halve_the_interval(runs: int, more: int) -> None:
    # t(0.975) from printed tables: dof 1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 7: 2.365, 8: 2.306
    assert runs_to_halve_the_interval(runs) == more


def test_the_advice_names_the_number_and_ends_where_more_runs_are_no_use() -> None:
    three = own_result([1.0, 2.0, 3.0])
    many = own_result([float(value) for value in range(12)])
    assert three is not None
    assert many is not None
    assert "2 more runs" in str(three.advice)
    assert "enough" in str(many.advice)
