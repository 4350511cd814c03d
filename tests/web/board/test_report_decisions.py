"""How the report's table of changes and decisions says which runs a step was about."""

from __future__ import annotations

import pytest

from app.web.board.report_decisions import _run_numbers


@pytest.mark.parametrize(
    ("numbers", "said"),
    [([4], "4"), ([5, 4], "4, 5"), ([4, 6, 5], "4–6"), ([4, 5, 6, 7], "4–7"), ([4, 5, 7], "4, 5, 7")],
)
def test_runs_in_a_row_are_said_by_the_first_and_the_last(numbers: list[int], said: str) -> None:
    assert _run_numbers(numbers) == said
