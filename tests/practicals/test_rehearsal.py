"""A rehearsal is marked, gone with one action, and never mixed with readings."""

from __future__ import annotations

import pytest

from app.practicals.conduct import WrongState, open_practical
from app.practicals.enter import enter_run
from app.practicals.history import history
from app.practicals.join import join_bench
from app.practicals.permission import NotYourPractical
from app.practicals.plan import plan_practical
from app.practicals.rehearsal import end_rehearsal, rehearse
from app.practicals.results import class_snapshot
from app.records.engine import Database
from app.records.models import Bench, Run, RunVersion
from tests.practicals.a_class import NOW, a_plan, a_teacher, an_entry, new_key


@pytest.fixture
def planned(database: Database) -> dict[str, object]:
    teacher = a_teacher(database)
    made = plan_practical(database, actor=teacher, plan=a_plan(planned_benches=6), now=NOW)
    return {"actor": teacher, "practical_id": made.practical_id}


def test_a_rehearsal_fills_every_planned_bench_and_says_that_it_is_one(database, planned) -> None:
    assert rehearse(database, seed=1, now=NOW, **planned) == 18
    snapshot = class_snapshot(database, planned["practical_id"])
    assert snapshot.rehearsal
    assert [bench.number for bench in snapshot.benches] == [1, 2, 3, 4, 5, 6]
    assert all(run.simulated and run.entered_by == "simulator" for run in snapshot.runs)
    assert snapshot.result is not None
    flagged = {(run.readings.bench, run.readings.run) for run in snapshot.result.runs if run.flags}
    assert {("3", "2"), ("5", "1")} <= flagged, "the two planted slips are there to be found"


def test_the_same_seed_gives_the_same_class(database, planned) -> None:
    rehearse(database, seed=5, now=NOW, **planned)
    first = [run.entry for run in class_snapshot(database, planned["practical_id"]).runs]
    rehearse(database, seed=5, now=NOW, **planned)
    second = [run.entry for run in class_snapshot(database, planned["practical_id"]).runs]
    assert first == second
    rehearse(database, seed=6, now=NOW, **planned)
    assert first != [run.entry for run in class_snapshot(database, planned["practical_id"]).runs]


def test_one_action_removes_every_trace(database, planned) -> None:
    rehearse(database, seed=1, now=NOW, **planned)
    assert end_rehearsal(database, **planned) == 18
    with database.reading() as session:
        assert [session.query(table).count() for table in (Bench, Run, RunVersion)] == [0, 0, 0]
    snapshot = class_snapshot(database, planned["practical_id"])
    assert (snapshot.runs, snapshot.result, snapshot.rehearsal) == ((), None, False)


def test_opening_removes_the_rehearsal_and_real_runs_stand_alone(database, planned) -> None:
    rehearse(database, seed=1, now=NOW, **planned)
    opened = open_practical(database, now=NOW, **planned)
    bench = join_bench(database, code=opened.join_code or "", bench_number=2, now=NOW).bench
    enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    snapshot = class_snapshot(database, planned["practical_id"])
    assert not snapshot.rehearsal
    assert [(run.bench_number, run.number, run.simulated) for run in snapshot.runs] == [(2, 1, False)]
    kinds = [line.kind for line in history(database, **planned)]
    assert kinds.count("run entered") == 1


def test_nothing_is_simulated_once_the_class_is_open(database, planned) -> None:
    open_practical(database, now=NOW, **planned)
    with pytest.raises(WrongState):
        rehearse(database, seed=1, now=NOW, **planned)
    with database.reading() as session:
        assert session.query(Run).count() == 0


def test_a_colleague_cannot_rehearse_in_anothers_practical(database, planned) -> None:
    colleague = a_teacher(database, "colleague")
    with pytest.raises(NotYourPractical):
        rehearse(database, actor=colleague, practical_id=planned["practical_id"], seed=1, now=NOW)
