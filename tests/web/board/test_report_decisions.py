"""How the report's table of changes and decisions says which runs a step was about."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.practicals.lesson.details import Typed
from app.practicals.runs.entry import RunEntry
from app.web.board.report_decisions import _changes, _run_numbers
from tests.practicals.a_class import an_entry


def _typed(text: str) -> Typed:
    number, _, unit = text.partition(" ")
    return Typed(number, Decimal(number), unit)


def _with(entry: RunEntry, **texts: str) -> RunEntry:
    return RunEntry({**entry.of, **{name: _typed(text) for name, text in texts.items()}})


def _told(before: RunEntry, after: RunEntry) -> list[tuple[str, str]]:
    return [(str(words), str(change).replace("\xa0", " ")) for words, change in _changes(before, after)]


def test_each_reading_that_came_went_or_was_typed_anew_is_told_and_no_other() -> None:
    plain = _with(an_entry(), inversions="50", end_temperature="21.4 °C")
    more = _with(plain, inversions="60", end_temperature="21.40 °C", room_temperature="19.5 °C")
    assert _told(plain, more) == [
        ("inversions", "50 → 60"),
        ("end", "21.4 °C → 21.40 °C"),
        ("room", "– → 19.5 °C"),
    ]
    assert _told(more, plain)[-1] == ("room", "19.5 °C → –")
    assert _told(more, more) == []


def test_of_a_measured_end_allowance_its_parts_are_told_and_not_their_sum() -> None:
    whole = _with(an_entry(), end_allowance="8 cm")
    shallow = _with(whole, end_allowance="7 cm", caps="2 cm", settled_depth="5 cm")
    deep = _with(whole, end_allowance="8 cm", caps="2 cm", settled_depth="6 cm")
    assert _told(shallow, deep) == [("settled depth", "5 cm → 6 cm")]
    assert _told(whole, shallow) == [
        ("ends", "8 cm → 7 cm"), ("caps", "– → 2 cm"), ("settled depth", "– → 5 cm")
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("numbers", "said"),
    [([4], "4"), ([5, 4], "4, 5"), ([4, 6, 5], "4–6"), ([4, 5, 6, 7], "4–7"), ([4, 5, 7], "4, 5, 7")],
)
def test_runs_in_a_row_are_said_by_the_first_and_the_last(numbers: list[int], said: str) -> None:
    assert _run_numbers(numbers) == said
