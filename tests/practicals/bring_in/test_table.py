"""A table's runs as rows: all of them or none, once, on both databases."""

from __future__ import annotations

from decimal import Decimal

import pytest
from sqlalchemy import select

from app.practicals.bring_in.record import NoWriter, Outcome
from app.practicals.bring_in.table import PastRun, bring_in_table
from app.practicals.lesson.plan import PlanProblem
from app.practicals.people.log import log_page
from app.practicals.runs.entry import ImpossibleReading
from app.practicals.runs.refusals import TooManyRuns
from app.practicals.runs.storing import MOST_RUNS
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.models import Bench, Decision, Practical, ResultDue, Run, RunVersion, StateChange
from tests.practicals.a_class import NOW, a_plan, a_teacher, an_entry
from tests.practicals.seen import count


def test_all_runs_are_stored_or_none_and_a_table_is_stored_once(database: Database) -> None:
    teacher = a_teacher(database)

    def bring(runs: list[PastRun], text: str = "a table") -> Outcome:
        brought = bring_in_table(
            database, actor=teacher, text=text, plan=a_plan(), runs=runs, reason="left out", now=NOW
        )
        return brought.outcome

    too_many = [PastRun(row, 1, an_entry()) for row in range(MOST_RUNS + 1)]
    with pytest.raises(TooManyRuns):
        bring(too_many)
    assert [count(database, kind) for kind in (Practical, Bench, Run)] == [0, 0, 0]
    runs = [PastRun(2, 4, an_entry(), set_aside=True), PastRun(3, 2, an_entry("341"))]
    assert bring(runs) is Outcome.STORED
    with database.reading() as session:
        practical = session.scalars(select(Practical)).one()
        assert (practical.state, practical.opened_at, practical.finished_at) == ("finished", NOW, NOW)
        stored = select(
            Bench.number, Run.number, Run.set_aside, RunVersion.__table__.c["shot_mass_kg"]
        ).select_from(Run)
        rows = session.execute(stored.join(Bench).join(RunVersion).order_by(Bench.number)).all()
        decided = session.scalars(select(Decision)).one()
        changes = session.scalars(select(StateChange).order_by(StateChange.id)).all()
    assert [tuple(row) for row in rows] == [(2, 1, False, Decimal("0.341")), (4, 1, True, Decimal("0.34"))]
    assert (decided.action, decided.reason) == ("set aside", "left out")
    assert [(one.kind, one.at, one.teacher_id) for one in changes] == [
        (kind, NOW, teacher.teacher_id) for kind in ("planned", "brought in", "finished")
    ]
    assert bring(runs) is Outcome.HERE_ALREADY
    assert bring(runs, "another table") is Outcome.STORED
    assert [count(database, kind) for kind in (Practical, Run, Decision, ResultDue)] == [2, 4, 2, 2]
    head = a_teacher(database, "head", is_head=True)
    lines = log_page(database, actor=head, kind=LogKind.IMPORTED).lines
    assert [(line.actor, line.detail) for line in lines] == [("Mrs-Okafor", "table")] * 2


@pytest.mark.parametrize(
    ("source", "start", "problem"), [(" ", "19.2", PlanProblem), ("a book", "1000", ImpossibleReading)]
)
def test_a_plan_or_a_reading_that_cannot_be_stores_no_table(
    sqlite_database: Database, source: str, start: str, problem: type[Exception]
) -> None:
    with pytest.raises(problem):
        bring_in_table(
            sqlite_database,
            actor=a_teacher(sqlite_database),
            text="x",
            plan=a_plan(accepted_source=source),
            runs=[PastRun(1, 1, an_entry(start=start))],
            reason="x",
            now=NOW,
        )
    assert count(sqlite_database, Practical) == 0


def test_a_technician_stores_no_table(sqlite_database: Database) -> None:
    technician = a_teacher(sqlite_database, role=Role.TECHNICIAN)
    with pytest.raises(NoWriter):
        bring_in_table(
            sqlite_database, actor=technician, text="x", plan=a_plan(), runs=(), reason="x", now=NOW
        )
