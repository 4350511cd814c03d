"""The drawing beside a decision: where this run, the others and the class's band lie on one line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import pytest

from app.analysis.results import ClassValue
from app.web.desk.lesson.view import RunRow
from app.web.desk.runs.strip import EDGE, WIDTH, Strip, strip_of


@dataclass(frozen=True)
class _Worked:
    apparent_heat_capacity_J_per_kg_K: float | None


@dataclass(frozen=True)
class _Row:
    worked: _Worked | None


@dataclass(frozen=True)
class _Value:
    interval_95: tuple[float, float] | None


def drawn(
    figures: list[float | None], this: int, interval: tuple[float, float] | None = None
) -> Strip | None:
    """The strip of the run at this place, in a class with these values (invented, in J/(kg·K))."""
    rows = cast(list[RunRow], [_Row(_Worked(figure)) for figure in figures])
    value = cast(ClassValue, _Value(interval)) if interval else None
    return strip_of(rows, rows[this], value)


def test_the_ends_of_the_class_are_the_ends_of_the_line() -> None:
    strip = drawn([130.0, 140.0, 150.0], this=1)
    assert strip is not None
    assert (strip.low, strip.high, strip.beyond, strip.band) == (130.0, 150.0, 0, None)
    assert strip.this == WIDTH / 2
    assert strip.others == (EDGE, WIDTH - EDGE)
    for at_the_end in (0, 2):
        strip = drawn([130.0, 140.0, 150.0], this=at_the_end)
        assert strip is not None
        assert strip.beyond == 0


def test_the_band_is_on_the_line_even_where_it_reaches_beyond_the_runs() -> None:
    strip = drawn([130.0, 140.0, 150.0], this=0, interval=(120.0, 160.0))
    assert strip is not None
    assert (strip.low, strip.high) == (120.0, 160.0)
    assert strip.band == (EDGE, WIDTH - EDGE)
    assert strip.this == pytest.approx(EDGE + (WIDTH - 2 * EDGE) / 4)


@pytest.mark.parametrize(("wild", "side"), [(900.0, 1), (1.0, -1)])
def test_a_wild_run_lies_beyond_the_end_and_does_not_press_the_others_together(
    wild: float, side: int
) -> None:
    strip = drawn([*(130.0 + 2 * place for place in range(11)), wild], this=11)
    assert strip is not None
    assert strip.beyond == side
    assert strip.this == (WIDTH - EDGE if side > 0 else EDGE)
    assert max(strip.others) - min(strip.others) > 100


def test_runs_that_all_agree_lie_in_the_middle() -> None:
    strip = drawn([140.0, 140.0, 140.0], this=0)
    assert strip is not None
    assert strip.low < 140 < strip.high
    assert strip.beyond == 0
    assert strip.this == WIDTH / 2


def test_fewer_than_three_values_are_not_drawn_and_a_run_without_one_is_not_on_the_line() -> None:
    assert drawn([130.0, None, 150.0], this=0) is None
    strip = drawn([130.0, None, 150.0, 140.0], this=1)
    assert strip is not None
    assert (strip.this, strip.beyond, len(strip.others)) == (None, 0, 3)


def test_the_line_reaches_two_and_a_half_spreads_of_the_middle_half_or_a_seventh_of_the_value() -> None:
    """Quartiles as `statistics.quantiles` defines them: of 100, 110, …, 190 and 1000 they are 120 and 180."""
    wide: list[float | None] = [100.0 + 10 * place for place in range(10)]
    far = drawn([*wide, 1000.0], this=10)
    assert far is not None
    first, third = 120.0, 180.0
    assert far.high == pytest.approx(third + 2.5 * (third - first))
    assert far.beyond == 1
    level = drawn([*[140.0] * 9, 900.0], this=9)
    assert level is not None
    assert (level.low, level.high) == pytest.approx((140.0, 140.0 + 0.15 * 140.0))


def test_places_are_on_a_drawing_of_600_with_its_ends_in_view() -> None:
    strip = drawn([100.0, 110.0, 200.0], this=1)
    assert strip is not None
    assert (strip.this, strip.others) == (80.8, (26.0, 574.0))
    even = drawn([140.0, 140.0, 140.0], this=0)
    assert even is not None
    assert (even.low, even.high) == pytest.approx((133.0, 147.0))
