"""How many lines stand under one another beside a figure: few enough for the letters of the wall."""

from __future__ import annotations

import pytest

from app.figures.alternative import Line
from app.web.board.picture import FEWER_LINES, _blocks, _shown
from tests.figures.classes import a_class, worked_out


@pytest.mark.parametrize(
    ("lines", "fewer", "lengths"),
    [
        (0, 0, []),
        (10, 0, [10]),
        (11, 0, [6, 5]),
        (24, 0, [12, 12]),
        (25, 0, [9, 9, 7]),
        (7, FEWER_LINES, [7]),
        (8, FEWER_LINES, [4, 4]),
        (18, FEWER_LINES, [9, 9]),
        (19, FEWER_LINES, [7, 7, 5]),
    ],
)
def test_a_table_is_one_as_long_as_it_can_be_and_then_blocks_as_equal_as_can_be(
    lines: int, fewer: int, lengths: list[int]
) -> None:
    """Ten lines in one table, twelve in a block; above a question three less (our own choices)."""
    every = tuple(Line((), bench=str(number)) for number in range(lines))
    blocks = _blocks(every, fewer)
    assert [len(block) for block in blocks] == lengths
    assert tuple(line for block in blocks for line in block) == every


@pytest.mark.parametrize(("asked", "lengths"), [(False, [10]), (True, [5, 5])])
def test_ten_benches_stand_in_one_table_unless_a_question_is_asked(asked: bool, lengths: list[int]) -> None:
    result = worked_out(a_class(10, masses=(0.5,)))
    assert [len(block) for block in _shown("spread", result, asked=asked).blocks] == lengths
