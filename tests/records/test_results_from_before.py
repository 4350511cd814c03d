"""Practicals that were finished before results were kept."""

from __future__ import annotations

from sqlalchemy import select

from app.practicals.archive.overdue import keep_results_due
from app.practicals.lesson.states import finish_practical
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.migrate import downgrade, upgrade
from app.records.models import KeptResult
from tests.practicals.a_class import NOW, a_collecting_class, an_entry, new_key


def test_their_results_are_due_and_kept_by_the_next_upkeep(bare: Database) -> None:
    upgrade(bare)
    one = a_collecting_class(bare)
    enter_run(bare, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    finish_practical(bare, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    keep_results_due(bare)
    downgrade(bare, "0018")
    upgrade(bare)
    assert keep_results_due(bare) == 1
    with bare.reading() as session:
        kept = session.scalars(select(KeptResult)).one()
    assert (kept.cause, kept.at, kept.teacher_id, kept.runs) == ("finished", NOW, None, 1)
