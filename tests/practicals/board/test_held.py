"""A board that is held shows what it held, whoever asks, until it follows again."""

from __future__ import annotations

from typing import Any

from app.practicals.board.reveal import pause_board, step_board
from app.practicals.board.snapshot import Snapshot, board_snapshot, class_snapshot
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.runs.decisions import count_again, set_aside
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_plan, an_entry, new_key


def _held(one: AClass, paused: bool = True) -> None:
    pause_board(one.database, actor=one.teacher, practical_id=one.practical_id, paused=paused, now=NOW)


def _board(one: AClass) -> Snapshot:
    return board_snapshot(one.database, one.practical_id, actor=one.teacher)


def _shown(one: AClass) -> list[tuple[int, str, bool]]:
    return [(run.bench_number, run.entry.end_temperature.raw, run.set_aside) for run in _board(one).runs]


def test_a_held_board_shows_no_later_run_correction_or_decision(database: Database) -> None:
    one = a_collecting_class(database)
    bench, other = one.join(1), one.join(2)
    first = enter_run(database, actor=bench, key=new_key(), entry=an_entry(end="21.4"), now=NOW)
    second = enter_run(database, actor=other, key=new_key(), entry=an_entry(end="21.6"), now=NOW)
    decided = set_aside(
        database, actor=one.teacher, run_id=second.run_id, reason="hand", expected_revision=1, now=NOW
    )
    again: dict[str, Any] = {"key": new_key(), "entry": an_entry(end="21.4"), "reason": "", "now": NOW}
    correct_run(database, actor=bench, run_id=first.run_id, **again)
    _held(one)
    before = _board(one).result
    assert _shown(one) == [(1, "21.4", False), (2, "21.6", True)]
    correct_run(
        database,
        actor=bench,
        run_id=first.run_id,
        key=new_key(),
        entry=an_entry(end="25.4"),
        reason="read again",
        now=NOW,
    )
    count_again(
        database,
        actor=one.teacher,
        run_id=second.run_id,
        reason="no hand",
        expected_revision=decided.run_revision,
        now=NOW,
    )
    enter_run(database, actor=one.join(3), key=new_key(), entry=an_entry(end="22.0"), now=NOW)
    assert _shown(one) == [(1, "21.4", False), (2, "21.6", True)]
    assert _board(one).result == before
    assert [line.number for line in _board(one).benches] == [1, 2]
    assert [run.corrections for run in _board(one).runs] == [1, 0], "the one before the board was held"
    assert len(class_snapshot(database, one.practical_id, actor=one.teacher).runs) == 3, "the desk goes on"
    _held(one, paused=False)
    assert _shown(one) == [(1, "25.4", False), (2, "21.6", False), (3, "22.0", False)]


def test_a_board_held_before_any_run_stays_empty_and_steps_to_what_there_is(database: Database) -> None:
    one = a_collecting_class(database)
    _held(one)
    enter_run(database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    assert (_shown(one), _board(one).benches, _board(one).result) == ([], (), None)
    step_board(database, actor=one.teacher, practical_id=one.practical_id, to="spread", now=NOW)
    assert len(_shown(one)) == 1
    enter_run(database, actor=one.join(2), key=new_key(), entry=an_entry(), now=NOW)
    assert len(_shown(one)) == 1


def test_one_held_class_holds_no_other(database: Database) -> None:
    one = a_collecting_class(database)
    second = plan_practical(database, actor=one.teacher, plan=a_plan(), now=NOW)
    opened = open_practical(database, actor=one.teacher, practical_id=second.practical_id, now=NOW)
    other = AClass(database, one.teacher, opened)
    _held(one)
    enter_run(database, actor=other.join(1), key=new_key(), entry=an_entry(), now=NOW)
    _held(other)
    enter_run(database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    assert (len(_shown(one)), len(_shown(other))) == (0, 1)
