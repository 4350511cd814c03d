"""Results of many practicals pooled and held against limits."""

from __future__ import annotations

from math import sqrt

from app.analysis.figure import Chart, Figure
from app.analysis.over_years import chart_of, pooled
from tests.reference.known import close, known


def figures(values: list[float], us: list[float]) -> list[Figure]:
    """Each value with the 95 % interval of its standard uncertainty: 1.959964 u on either side."""
    return [
        Figure(value, (value - 1.9599639845400545 * u, value + 1.9599639845400545 * u))
        for value, u in zip(values, us, strict=True)
    ]


@known("meta-bcg", "meta-bench5", "meta-bench3")
def test_practicals_are_pooled_as_metafor_pools(case):
    # Source: R metafor 3.8-1, rma(method="PM", test="knha"), in cases.json; published data of Colditz et al.
    # (1994), and synthetic values. Where τ² > 0 the interval is Hartung and Knapp's.
    expected = case["expected"]["PM"]
    found = pooled(figures(case["inputs"]["yi"], [sqrt(v) for v in case["inputs"]["vi"]]))
    assert found is not None
    assert found.value == close(expected["mu"], rel=1e-4)
    assert found.between_sd == close(sqrt(expected["tau2"]), rel=1e-4)
    assert found.interval == close(tuple(expected["ciHK"]), rel=1e-4)
    assert found.practicals == len(case["inputs"]["yi"])


def test_fewer_than_three_with_an_interval_are_not_pooled_and_nothing_is_outside() -> None:
    few = [*figures([120.0, 180.0], [1.0, 1.0]), Figure(90.0), Figure(300.0)]
    chart = chart_of(few)
    assert (pooled(few), chart.pooled, chart.outside, chart.shifts) == (None, None, (), ())
    assert chart.limits == (None,) * 4
    assert chart_of([]).classes == ()
    assert pooled([*figures([120.0, 180.0], [1.0, 1.0]), Figure(90.0, (90.0, 90.0))]) is None, "no width"


def test_a_class_far_off_is_outside_and_one_without_an_interval_is_not_judged() -> None:
    values = [130.0, 132, 129, 131, 128, 130, 133, 129, 131, 130]
    chart = chart_of([*figures([*values, 175.0], [2.0] * 11), Figure(500.0)])
    assert chart.outside == (10,)
    assert chart.limits[11] is None
    assert chart.pooled is not None
    assert chart.pooled.practicals == 11
    low, high = chart.limits[0] or (0, 0)
    assert low < 128
    assert 133 < high < 175


def test_a_class_on_its_limit_is_not_outside() -> None:
    classes = tuple(map(Figure, [119.9, 120.0, 130.0, 140.0, 140.1]))
    assert Chart(classes, None, ((120.0, 140.0),) * 5, ()).outside == (0, 4)


def test_eight_on_one_side_are_a_shift_at_their_places_in_the_chart() -> None:
    values = [120.0, 121, 119, 120, 121, 119, 120, 121, *[131.0, 130, 132, 131, 130, 132, 131, 130]]
    chart = chart_of([Figure(100.0), *figures(values, [1.0] * 16)])
    assert chart.shifts == ((1, 8), (9, 16))
