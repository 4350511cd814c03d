"""All runs of a bench set aside with one reason, and that step undone as one."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.permission import NotYourPractical
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.runs.decisions import DecidedMeanwhile, count_again, set_aside
from app.practicals.runs.refusals import ReasonMissing
from app.practicals.runs.sending import enter_run
from app.practicals.runs.whole_bench import (
    BenchChangedMeanwhile,
    NothingToSetAside,
    NothingToUndo,
    benches_aside,
    set_bench_aside,
    state_of_bench,
    undo_bench_aside,
)
from app.records.engine import Database
from app.records.models import Decision
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_plan, a_teacher, an_entry, new_key


@pytest.fixture
def one(database: Database) -> AClass:
    """Benches 2 and 3 with three runs each."""
    one = a_collecting_class(database)
    for number in (2, 3):
        bench = one.join(number)
        for _ in range(3):
            enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    return one


def _runs(one: AClass, bench: int = 3) -> list[Any]:
    snapshot = class_snapshot(one.database, one.practical_id, actor=one.teacher)
    return [run for run in snapshot.runs if run.bench_number == bench]


def _aside(one: AClass, bench: int = 3, **changes: Any) -> int:
    seen = state_of_bench((run.run_revision, run.set_aside) for run in _runs(one, bench))
    asked: dict[str, Any] = {"actor": one.teacher, "reason": "wrong shot", "seen": seen, "now": NOW}
    asked |= changes
    return set_bench_aside(one.database, practical_id=one.practical_id, bench_number=bench, **asked)


def _steps(one: AClass) -> tuple[Any, ...]:
    return benches_aside(one.database, actor=one.teacher, practical_id=one.practical_id)


def _undo(one: AClass, decision_id: int) -> int:
    asked: dict[str, Any] = {"practical_id": one.practical_id, "reason": "it was the right shot", "now": NOW}
    return undo_bench_aside(one.database, actor=one.teacher, decision_id=decision_id, **asked)


def test_a_bench_is_set_aside_with_one_reason_and_counted_again_in_one_step(one: AClass) -> None:
    assert _aside(one) == 3
    assert [run.set_aside for run in _runs(one)] == [True] * 3
    assert not any(run.set_aside for run in _runs(one, 2))
    (step,) = _steps(one)
    assert (step.bench_number, step.runs, step.reason) == (3, 3, "wrong shot")
    assert _undo(one, step.decision_id) == 3
    assert not any(run.set_aside for run in _runs(one))
    assert _steps(one) == ()
    with one.database.reading() as session:
        assert session.query(Decision).count() == 6, "a decision about each run, both times"


def test_undoing_leaves_a_run_that_was_decided_about_before_or_since(one: AClass) -> None:
    first, second, _ = _runs(one)
    choice: dict[str, Any] = {"actor": one.teacher, "now": NOW}
    set_aside(one.database, run_id=first.run_id, reason="spilled", expected_revision=1, **choice)
    assert _aside(one) == 2, "one was set aside already"
    assert [step.runs for step in _steps(one)] == [2]
    count_again(one.database, run_id=second.run_id, reason="fine", expected_revision=2, **choice)
    set_aside(one.database, run_id=second.run_id, reason="not fine", expected_revision=3, **choice)
    with one.database.reading() as session:
        decision = session.query(Decision).filter_by(reason="wrong shot").order_by(Decision.id).first()
        assert decision is not None
        step = decision.id
    assert _steps(one) == (), "a single run is counted again by itself"
    assert _undo(one, step) == 1
    assert [run.set_aside for run in _runs(one)] == [True, True, False]


def test_two_steps_with_the_same_reason_are_undone_apart(one: AClass) -> None:
    _aside(one)
    asked: dict[str, Any] = {"practical_id": one.practical_id, "bench_number": 3, "entry": an_entry()}
    enter_run(one.database, actor=one.teacher, key=new_key(), now=NOW, **asked)
    assert _aside(one, now=NOW + timedelta(minutes=1)) == 1
    (step,) = _steps(one)
    assert (step.runs, _undo(one, step.decision_id)) == (3, 3)
    assert [run.set_aside for run in _runs(one)] == [False, False, False, True]


def test_what_was_counted_again_is_no_step_to_undo(one: AClass) -> None:
    _aside(one)
    (step,) = _steps(one)
    _undo(one, step.decision_id)
    with one.database.reading() as session:
        counted = [row.id for row in session.query(Decision).filter_by(action="counted")]
    for decision_id in (*counted, 0, 999):
        with pytest.raises(NothingToUndo):
            _undo(one, decision_id)


def test_a_step_is_not_undone_from_another_practical(one: AClass) -> None:
    _aside(one)
    (step,) = _steps(one)
    planned = plan_practical(one.database, actor=one.teacher, plan=a_plan(), now=NOW)
    opened = open_practical(one.database, actor=one.teacher, practical_id=planned.practical_id, now=NOW)
    other = AClass(one.database, one.teacher, opened)
    enter_run(one.database, actor=other.join(3), key=new_key(), entry=an_entry(), now=NOW)
    with pytest.raises(NothingToUndo):
        _undo(other, step.decision_id)
    assert [run.set_aside for run in _runs(one)] == [True] * 3


def test_a_second_tap_on_either_button_changes_nothing(one: AClass) -> None:
    seen = state_of_bench((run.run_revision, run.set_aside) for run in _runs(one))
    assert _aside(one, seen=seen) == _aside(one, seen=seen) == 3
    for other in ({"reason": "wet"}, {"actor": a_teacher(one.database, "head", is_head=True)}):
        with pytest.raises(NothingToSetAside):
            _aside(one, seen=seen, **other)
    (step,) = _steps(one)
    _undo(one, step.decision_id)
    with pytest.raises(NothingToUndo):
        _undo(one, step.decision_id)
    with one.database.reading() as session:
        assert session.query(Decision).count() == 6


def test_a_run_that_came_in_unseen_is_not_set_aside_with_the_others(one: AClass) -> None:
    seen = state_of_bench((run.run_revision, run.set_aside) for run in _runs(one))
    enter_run(
        one.database,
        actor=one.teacher,
        practical_id=one.practical_id,
        bench_number=3,
        key=new_key(),
        entry=an_entry(),
        now=NOW,
    )
    with pytest.raises(BenchChangedMeanwhile, match=r"Bench 3 has changed .* 4 of its runs count now"):
        _aside(one, seen=seen)
    assert not any(run.set_aside for run in _runs(one))


@pytest.mark.parametrize("bench", [0, 4, 99, 10_000])
def test_a_bench_without_runs_has_nothing_to_set_aside(one: AClass, bench: int) -> None:
    with pytest.raises(NothingToSetAside, match=f"Bench {bench} has no run that counts"):
        _aside(one, bench)


@pytest.mark.parametrize("reason", ["", "  ", "x" * 501])
def test_a_whole_bench_needs_a_reason_too(one: AClass, reason: str) -> None:
    with pytest.raises(ReasonMissing):
        _aside(one, reason=reason)
    assert not any(run.set_aside for run in _runs(one))


def test_a_colleague_may_neither_set_a_bench_aside_nor_undo_it(one: AClass) -> None:
    colleague = a_teacher(one.database, "colleague")
    with pytest.raises(NotYourPractical):
        _aside(one, actor=colleague)
    _aside(one)
    (step,) = _steps(one)
    with pytest.raises(NotYourPractical):
        undo_bench_aside(
            one.database,
            actor=colleague,
            practical_id=one.practical_id,
            decision_id=step.decision_id,
            reason="no",
            now=NOW,
        )


def test_a_second_tap_on_a_single_decision_gets_the_same_answer_and_another_teacher_is_told(
    one: AClass,
) -> None:
    run = _runs(one)[0]
    asked: dict[str, Any] = {"run_id": run.run_id, "reason": "spilled", "expected_revision": 1, "now": NOW}
    first = set_aside(one.database, actor=one.teacher, **asked)
    assert set_aside(one.database, actor=one.teacher, **asked) == first
    with pytest.raises(DecidedMeanwhile):
        set_aside(one.database, actor=a_teacher(one.database, "head", is_head=True), **asked)
    with pytest.raises(DecidedMeanwhile):
        set_aside(one.database, actor=one.teacher, **asked | {"reason": "odd"})
