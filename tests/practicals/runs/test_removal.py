"""What a bench wrote about a correction: short, and removable by the teacher without a trace of its words."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select, update

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.permission import NotYourPractical
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.history import NoWordsToRemove, history, remove_bench_words
from app.practicals.runs.reading import OWN_CALCULATION, NoSuchRun
from app.practicals.runs.refusals import WordsTooLong
from app.practicals.runs.sending import correct_run, enter_run
from app.records.append_only import REMOVED
from app.records.engine import Database
from app.records.errors import ConstraintBroken
from app.records.models import RunVersion
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_teacher, an_entry, new_key

WORDS = "Sasha read 31 for 21"


def _correct(one: AClass, bench: BenchIdentity, reason: str) -> int:
    run = enter_run(one.database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    correct_run(
        one.database,
        actor=bench,
        run_id=run.run_id,
        key=new_key(),
        entry=an_entry(end="21.5"),
        reason=reason,
        now=NOW,
    )
    return run.run_id


def _stored(one: AClass) -> list[str]:
    with one.database.reading() as session:
        return list(session.scalars(select(RunVersion.reason).order_by(RunVersion.id)))


def test_a_bench_writes_at_most_eighty_characters_and_a_teacher_more(database: Database) -> None:
    one = a_collecting_class(database)
    run_id = _correct(one, bench := one.join(3), "x" * 80)
    change: dict[str, Any] = {"run_id": run_id, "entry": an_entry(end="21.6"), "now": NOW}
    with pytest.raises(WordsTooLong, match="80 characters"):
        correct_run(database, actor=bench, key=new_key(), reason="x" * 81, **change)
    assert _stored(one) == ["", "x" * 80]
    correct_run(database, actor=one.teacher, key=new_key(), reason="x" * 81, **change)
    assert _stored(one)[2] == "x" * 81


def test_the_teacher_removes_the_words_and_the_history_says_that_and_who(database: Database) -> None:
    one = a_collecting_class(database)
    run_id = _correct(one, one.join(3), WORDS)
    before = class_snapshot(database, one.practical_id, actor=one.teacher)
    later = NOW + timedelta(minutes=5)
    remove: dict[str, Any] = {
        "actor": one.teacher,
        "practical_id": one.practical_id,
        "run_id": run_id,
        "version": 2,
    }
    remove_bench_words(database, now=later, **remove)
    remove_bench_words(database, now=later, **remove)  # a second press is no second removal
    assert _stored(one) == ["", REMOVED]
    lines = history(database, actor=one.teacher, practical_id=one.practical_id)
    assert WORDS not in str(lines)
    corrected = next(line for line in lines if line.kind == "run corrected")
    assert (corrected.words_removed, corrected.reason) == (True, "")
    removed = [line for line in lines if line.kind == "words removed"]
    assert [(line.at, line.actor, line.reason) for line in removed] == [(later, "Mrs-Okafor", "3 · 1")]
    after = class_snapshot(database, one.practical_id, actor=one.teacher)
    assert after.revision > before.revision, "what shows the words is made anew"
    assert [run.entry for run in after.runs] == [run.entry for run in before.runs]


def test_only_who_may_run_the_practical_removes_words(database: Database) -> None:
    one = a_collecting_class(database)
    run_id = _correct(one, one.join(3), WORDS)
    colleague = a_teacher(database, "mr-lind")
    remove: dict[str, Any] = {"run_id": run_id, "version": 2, "now": NOW}
    with pytest.raises(NotYourPractical):
        remove_bench_words(database, actor=colleague, practical_id=one.practical_id, **remove)
    with pytest.raises(NoSuchRun):
        remove_bench_words(
            database, actor=one.teacher, practical_id=one.practical_id, **{**remove, "version": 9}
        )
    assert _stored(one) == ["", WORDS]


@pytest.mark.parametrize("version", [1, 3, 4])
def test_readings_own_calculations_and_a_teachers_reasons_stay(database: Database, version: int) -> None:
    one = a_collecting_class(database)
    run_id = _correct(one, bench := one.join(3), WORDS)
    change: dict[str, Any] = {"run_id": run_id, "entry": an_entry(end="21.5"), "now": NOW}
    correct_run(database, actor=bench, key=new_key(), reason="", own_calculation=True, **change)
    correct_run(database, actor=one.teacher, key=new_key(), reason="the bench said so", **change)
    with pytest.raises(NoWordsToRemove):
        remove_bench_words(
            database,
            actor=one.teacher,
            practical_id=one.practical_id,
            run_id=run_id,
            version=version,
            now=NOW,
        )
    assert _stored(one) == ["", WORDS, OWN_CALCULATION, "the bench said so"]


@pytest.mark.parametrize("change", [{"reason": "other words"}, {"reason": REMOVED, "inversions": 7}])
def test_the_database_lets_words_be_removed_and_nothing_else_be_changed(
    database: Database, change: dict[str, object]
) -> None:
    one = a_collecting_class(database)
    _correct(one, one.join(3), WORDS)
    with pytest.raises(ConstraintBroken, match="kept as it was"), database.writing() as session:
        session.execute(update(RunVersion).values(**change))
    assert _stored(one) == ["", WORDS]


def test_a_bench_cannot_write_that_its_words_were_removed(database: Database) -> None:
    one = a_collecting_class(database)
    _correct(one, one.join(3), REMOVED)
    lines = history(database, actor=one.teacher, practical_id=one.practical_id)
    assert not any(line.words_removed for line in lines)
