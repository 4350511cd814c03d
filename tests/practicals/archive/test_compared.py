"""A result beside another one, in words worked out by hand."""

from __future__ import annotations

import pytest

from app.analysis.figure import Figure
from app.practicals.archive.compared import CLASS_VALUE, HEAT_SINK, SPECIFIC_HEAT, Compared, compared
from app.practicals.archive.figures import Figures


def _figures(value: Figure | None = None, heat: Figure | None = None, sink: Figure | None = None) -> Figures:
    return Figures(value, heat, sink, 128.0, benches=6, runs=12)


def _of_class_values(before: Figure, now: Figure) -> Compared:
    (one,) = compared(_figures(before), _figures(now))
    return one


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (131.0, "3.0 higher (2.3 %)"),  # 3/128 = 0.0234
        (128.5, "0.50 higher (0.39 %)"),
        (125.0, "3.0 lower (2.3 %)"),
    ],
)
def test_a_difference_is_said_to_two_digits_and_in_percent_of_what_was_kept(now: float, said: str) -> None:
    found = _of_class_values(Figure(128.0, (127.9, 128.1)), Figure(now, (now - 0.1, now + 0.1)))
    assert (str(found.difference), found.same) == (said, False)


@pytest.mark.parametrize("interval", [None, (120.0, 136.0)])
def test_what_is_not_shown_is_no_difference(interval: tuple[float, float] | None) -> None:
    found = _of_class_values(Figure(128.0, interval), Figure(128.0004, interval))
    assert (str(found.difference), found.same) == ("the same to the digits shown", True)


@pytest.mark.parametrize(
    "now",
    [
        Figure(128.0, (119.0, 137.0)),
        Figure(128.0004, (119.0, 137.0)),  # the same to the digits shown
        Figure(128.0, (127.9, 128.1)),  # shown with one more digit
        Figure(128.0),
    ],
)
def test_another_interval_is_a_difference_too(now: Figure) -> None:
    found = _of_class_values(Figure(128.0, (120.0, 136.0)), now)
    assert (str(found.difference), found.same) == ("the same value, another interval", False)


def test_only_quantities_that_one_of_both_has_are_compared() -> None:
    rows = compared(
        _figures(Figure(128.0), heat=Figure(130.0)), _figures(Figure(128.0), sink=Figure(12.0, (1.0, 23.0)))
    )
    assert [(row.quantity, str(row.difference), row.same) for row in rows] == [
        (CLASS_VALUE, "the same to the digits shown", True),
        (SPECIFIC_HEAT, "no longer", False),
        (HEAT_SINK, "only now", False),
    ]


def test_of_nothing_there_are_no_percents() -> None:
    assert str(_of_class_values(Figure(0.0), Figure(3.0)).difference) == "3.0 higher (? %)"
