"""Decisions are kept for good, each with its reason, and nobody decides over what they have not seen."""

from __future__ import annotations

from typing import Any

import pytest

from app.practicals.lesson.permission import NoSuchPractical, NotYourPractical
from app.practicals.lesson.states import finish_practical
from app.practicals.runs.decisions import DecidedMeanwhile, count_again, set_aside
from app.practicals.runs.history import history
from app.practicals.runs.reading import one_run
from app.practicals.runs.refusals import LONGEST_REASON, ReasonMissing
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from app.records.models import Decision
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_teacher, an_entry, new_key


def a_run(one: AClass, bench: int = 3) -> int:
    saved = enter_run(one.database, actor=one.join(bench), key=new_key(), entry=an_entry(), now=NOW)
    return saved.run_id


def test_a_run_is_set_aside_and_counted_again_and_both_reasons_are_kept(database: Database) -> None:
    one = a_collecting_class(database)
    run = a_run(one)
    choice: dict[str, Any] = {"actor": one.teacher, "run_id": run, "now": NOW}
    aside = set_aside(database, reason="tube was dropped", expected_revision=1, **choice)
    assert aside.set_aside
    assert one_run(database, actor=one.teacher, run_id=run).set_aside
    counted = count_again(database, reason="it was another bench", expected_revision=2, **choice)
    assert not counted.set_aside
    assert counted.revision == aside.revision + 1
    with pytest.raises(
        DecidedMeanwhile, match=r"-Okafor has just counted bench 3, run 1 again \(“it was another bench"
    ):
        set_aside(database, reason="tube was dropped", expected_revision=1, **choice)
    with database.reading() as session:
        kept = session.query(Decision).order_by(Decision.id).all()
        assert [(d.action, d.reason) for d in kept] == [
            ("set aside", "tube was dropped"),
            ("counted", "it was another bench"),
        ]


def test_the_second_teacher_is_told_what_the_first_decided(database: Database) -> None:
    one = a_collecting_class(database)
    head = a_teacher(database, "head", is_head=True)
    run = a_run(one)
    set_aside(
        database, actor=one.teacher, run_id=run, reason="tube was dropped", expected_revision=1, now=NOW
    )
    with pytest.raises(DecidedMeanwhile, match=r"Mrs-Okafor has just set bench 3, run 1 aside \(“tube was"):
        set_aside(database, actor=head, run_id=run, reason="looks odd", expected_revision=1, now=NOW)
    with database.reading() as session:
        assert session.query(Decision).count() == 1


def test_a_decision_that_was_seen_is_not_said_to_be_what_changed(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW).run_id
    teacher: dict[str, Any] = {"actor": one.teacher, "run_id": run, "now": NOW}
    seen = set_aside(database, reason="tube was dropped", expected_revision=1, **teacher).run_revision
    better: dict[str, Any] = {"key": new_key(), "entry": an_entry(end="22"), "reason": ""}
    correct_run(database, actor=bench, run_id=run, now=NOW, **better)
    with pytest.raises(DecidedMeanwhile, match="was corrected after you opened"):
        count_again(database, reason="looked again", expected_revision=seen, **teacher)


def test_a_decision_over_readings_that_changed_is_refused(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW).run_id
    correct_run(
        database, actor=bench, run_id=run, key=new_key(), entry=an_entry(end="22"), reason="", now=NOW
    )
    with pytest.raises(DecidedMeanwhile, match="was corrected after you opened"):
        set_aside(database, actor=one.teacher, run_id=run, reason="odd", expected_revision=1, now=NOW)


def test_deciding_the_same_again_changes_nothing(database: Database) -> None:
    one = a_collecting_class(database)
    run = a_run(one)
    longest: dict[str, Any] = {"reason": f" {'x' * LONGEST_REASON} ", "now": NOW}
    first = set_aside(database, actor=one.teacher, run_id=run, expected_revision=1, **longest)
    again = set_aside(database, actor=one.teacher, run_id=run, expected_revision=2, **longest)
    assert again == first


@pytest.mark.parametrize("reason", ["", "   ", "x" * 501])
def test_a_decision_needs_a_reason(database: Database, reason: str) -> None:
    one = a_collecting_class(database)
    run = a_run(one)
    with pytest.raises(ReasonMissing):
        set_aside(database, actor=one.teacher, run_id=run, reason=reason, expected_revision=1, now=NOW)
    assert not one_run(database, actor=one.teacher, run_id=run).set_aside


def test_a_finished_class_can_still_be_decided_about(database: Database) -> None:
    one = a_collecting_class(database)
    run = a_run(one)
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert set_aside(
        database, actor=one.teacher, run_id=run, reason="seen at home", expected_revision=1, now=NOW
    ).set_aside


def test_a_colleague_may_look_and_not_decide_and_a_stranger_sees_nothing(database: Database) -> None:
    one = a_collecting_class(database)
    run = a_run(one)
    choice: dict[str, Any] = {"run_id": run, "reason": "odd", "expected_revision": 1, "now": NOW}
    with pytest.raises(NotYourPractical):
        set_aside(database, actor=a_teacher(database, "colleague"), **choice)
    with pytest.raises(NoSuchPractical):
        set_aside(database, actor=a_teacher(database, "stranger", "Elsewhere", is_head=True), **choice)
    assert not one_run(database, actor=one.teacher, run_id=run).set_aside


def test_the_history_tells_everything_in_order(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(end="31.4"), now=NOW).run_id
    correct_run(database, actor=bench, run_id=run, key=new_key(), entry=an_entry(), reason="misread", now=NOW)
    set_aside(database, actor=one.teacher, run_id=run, reason="spilled", expected_revision=2, now=NOW)
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    told = history(database, actor=one.teacher, practical_id=one.practical_id)
    assert sorted((line.kind, line.actor, line.reason) for line in told) == sorted(
        [
            ("planned", "Mrs-Okafor", ""),
            ("opened", "Mrs-Okafor", ""),
            ("run entered", "bench", ""),
            ("run corrected", "bench", "misread"),
            ("set aside", "Mrs-Okafor", "spilled"),
            ("finished", "Mrs-Okafor", ""),
        ]
    )
    assert not any(line.words_removed for line in told)
    entered = next(line for line in told if line.kind == "run entered")
    assert entered.entry is not None
    assert entered.entry.end_temperature.raw == "31.4"
    with pytest.raises(NoSuchPractical):
        history(database, actor=a_teacher(database, "stranger", "Elsewhere"), practical_id=one.practical_id)
