"""Which runs somebody has decided about as their readings stand now, on both databases."""

from __future__ import annotations

from typing import Any

from app.practicals.runs.decisions import count_again, decided_runs
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_collecting_class, an_entry, new_key


def test_a_decision_counts_until_the_readings_change_and_a_flagged_run_may_be_counted_as_it_is(
    database: Database,
) -> None:
    a_class = a_collecting_class(database)
    bench = a_class.join(1)
    saved = enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    mine: dict[str, Any] = {"actor": a_class.teacher, "practical_id": a_class.practical_id}
    assert decided_runs(database, **mine) == frozenset()
    decided = count_again(
        database, actor=a_class.teacher, run_id=saved.run_id, reason="fine", expected_revision=1, now=NOW
    )
    assert (decided.set_aside, decided.run_revision) == (False, 2)
    assert decided_runs(database, **mine) == {saved.run_id}
    again: dict[str, Any] = {"actor": bench, "run_id": saved.run_id, "now": NOW}
    correct_run(database, key=new_key(), entry=an_entry(), reason="", own_calculation=True, **again)
    assert decided_runs(database, **mine) == {saved.run_id}
    correct_run(database, key=new_key(), entry=an_entry(end="21.9"), reason="typed wrongly", **again)
    assert decided_runs(database, **mine) == frozenset()
