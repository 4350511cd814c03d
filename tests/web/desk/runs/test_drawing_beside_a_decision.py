"""The drawing beside a decision: where this run, the others and the class's band lie on one line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import pytest

from app.analysis.results import ClassValue
from app.web.desk.lesson.view import RunRow
from app.web.desk.runs.decisions import EDGE, WIDTH, Strip, strip_of


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
