"""The board shows nothing before its time, and hides again on the way back."""

from __future__ import annotations

from typing import Any

import pytest

from app.practicals.board.on_phones import Watched, watched_by_bench
from app.practicals.board.reveal import (
    BOARD_STEPS,
    BoardState,
    NoSuchStep,
    pause_board,
    show_bench_results,
    step_board,
    step_reached,
)
from app.practicals.board.snapshot import class_snapshot, current_presence
from app.practicals.lesson.permission import NotYourPractical
from app.records.choices import BoardStep
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_collecting_class, a_teacher, revision_of


def test_the_accepted_value_is_hidden_until_its_step_and_hidden_again_on_the_way_back(
    database: Database,
) -> None:
    one = a_collecting_class(database)
    control: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id, "now": NOW}
    board = class_snapshot(database, one.practical_id, actor=one.teacher).board
    shown, revealing = [], (BoardStep.SPREAD, BoardStep.PERCENT_ERROR)
    for _ in BOARD_STEPS:
        shown.append((board.step, *(step_reached(board.step, one) for one in revealing)))
        board = step_board(database, by=1, **control)
    assert shown == [
        ("reported", False, False),
        ("spread", True, False),
        ("line", True, False),
        ("percent error", True, True),
        ("separated", True, True),
        ("ledger", True, True),
    ]
    assert board.step == "ledger", "beyond the last step nothing happens"
    back = step_board(database, to="line", **control)
    assert not step_reached(back.step, BoardStep.PERCENT_ERROR)
    assert (back.previous, back.following) == ("spread", "percent error")


def test_every_step_knows_the_one_before_and_the_one_after() -> None:
    states = [BoardState(step, False, False, 1) for step in BoardStep]
    assert [state.previous for state in states] == [None, *BoardStep][:-1]
    assert [state.following for state in states] == [*BoardStep, None][1:]


def test_every_step_and_pause_raises_the_revision_and_pressing_twice_does_not(database: Database) -> None:
    one = a_collecting_class(database)
    control: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id, "now": NOW}
    start = revision_of(database, one.practical_id)
    assert start is not None
    assert step_board(database, to="spread", **control).revision == start + 1
    assert step_board(database, to="spread", **control).revision == start + 1
    assert pause_board(database, paused=True, **control).paused
    assert pause_board(database, paused=True, **control).revision == start + 2
    assert not show_bench_results(database, shown=False, **control).bench_results_shown, "shown by default"
    assert not show_bench_results(database, shown=False, **control).bench_results_shown
    assert revision_of(database, one.practical_id) == start + 3
    assert show_bench_results(database, shown=True, **control).bench_results_shown


def test_a_phone_watches_how_far_the_benches_are_only_while_the_board_shows_it(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(1)
    now = current_presence(database, one.practical_id, actor=one.teacher)
    assert now is not None
    revision, presence = now
    assert watched_by_bench(database, actor=bench) == Watched(revision, BoardStep.REPORTED, True, presence)
    step_board(database, to="spread", actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert watched_by_bench(database, actor=bench) == Watched(revision + 1, BoardStep.SPREAD, True, None)


def test_only_those_who_run_the_class_step_its_board(database: Database) -> None:
    one = a_collecting_class(database)
    colleague = a_teacher(database, "colleague")
    with pytest.raises(NotYourPractical):
        step_board(database, actor=colleague, practical_id=one.practical_id, by=1, now=NOW)
    head = a_teacher(database, "head", is_head=True)
    assert step_board(database, actor=head, practical_id=one.practical_id, by=1, now=NOW).step == "spread"
    assert step_board(database, actor=head, practical_id=one.practical_id, now=NOW).step == "spread"


def test_an_unknown_step_is_refused(database: Database) -> None:
    one = a_collecting_class(database)
    with pytest.raises(NoSuchStep, match="Use its forward and back controls"):
        step_board(database, actor=one.teacher, practical_id=one.practical_id, to="answer", now=NOW)
