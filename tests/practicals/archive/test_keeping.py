"""What is kept of a class's result, when, and that nothing is lost in between."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import func, select, text

from app.analysis.analyse import analyse_class
from app.analysis.figure import Figure
from app.analysis.results import ANALYSIS_VERSION
from app.analysis.views.json import as_plain_data
from app.practicals.archive import keeping
from app.practicals.archive.figures import Figures, figures_of
from app.practicals.archive.keeping import (
    ChangedMeanwhile,
    NothingToKeep,
    WorkedOut,
    keep_computed_anew,
    kept_results,
)
from app.practicals.archive.overdue import keep_results_due
from app.practicals.board.reveal import step_board
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.permission import NoSuchPractical, NotYourPractical
from app.practicals.lesson.room import RoomTemperature, set_room_temperature
from app.practicals.lesson.states import finish_practical, reopen_practical
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import enter_run
from app.practicals.runs.whole_bench import set_bench_aside, state_of_bench
from app.records.engine import Database
from app.records.errors import ConstraintBroken, DatabaseBusy
from app.records.models import KeptResult, ResultDue
from tests.analysis.classes import LEAD, perfect_runs
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_teacher, an_entry, new_key
from tests.practicals.archive.stored import stored

MASSES_G = ("250", "300", "600", "700", "850", "900")


def a_finished_class(database: Database) -> AClass:
    """Six benches of two runs each, finished; nobody has looked at it since."""
    a_class = a_collecting_class(database)
    for number, mass in enumerate(MASSES_G, 1):
        bench = a_class.join(number)
        for end in ("21.9", "22.1"):
            entry = an_entry(mass, end=end)
            enter_run(database, actor=bench, key=new_key(), entry=entry, now=NOW)
    finish_practical(database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    return a_class


def look(a_class: AClass) -> Any:
    """As any page about the class does."""
    return class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)


def kept(database: Database) -> list[KeptResult]:
    """What is kept, in order, whole results included."""
    with database.reading() as session:
        rows = list(session.scalars(select(KeptResult).order_by(KeptResult.id)))
        for row in rows:
            assert row.result
        return rows


def due(database: Database) -> int:
    """How many results are still to be kept."""
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(ResultDue)) or 0


def test_what_is_kept_at_finish_is_what_the_analysis_gives(database: Database) -> None:
    a_class = a_finished_class(database)
    assert (kept(database), due(database)) == ([], 1), "Finish itself works nothing out"
    snapshot = look(a_class)
    (row,) = kept(database)
    result = snapshot.result
    assert row.result == as_plain_data(result)
    assert (row.cause, row.at, row.teacher_id) == ("finished", NOW, a_class.teacher.teacher_id)
    assert (row.analysis_version, row.revision) == (ANALYSIS_VERSION, snapshot.revision)
    value, apart = result.class_value, result.separated
    assert row.class_value_J_per_kg_K == value.apparent_heat_capacity_J_per_kg_K
    assert (row.class_value_low, row.class_value_high) == value.interval_95
    assert apart.identifiable
    assert row.specific_heat_J_per_kg_K == apart.heat_capacity_J_per_kg_K
    assert (row.specific_heat_low, row.specific_heat_high) == apart.interval_95
    assert row.heat_sink_J_per_K == apart.heat_sink_J_per_K
    assert (row.heat_sink_low, row.heat_sink_high) == apart.heat_sink_interval_95
    assert (row.accepted_J_per_kg_K, row.benches, row.runs) == (128.0, 6, 12)
    assert due(database) == 0
    look(a_class)
    assert len(kept(database)) == 1, "a second look keeps nothing again"


def test_where_nothing_counts_no_figure_is_kept_and_no_bench() -> None:
    nothing = [replace(run, set_aside=True) for run in perfect_runs()]
    figures = figures_of(analyse_class(nothing, LEAD))
    assert figures == Figures(None, None, None, LEAD.accepted_J_per_kg_K, benches=0, runs=0)


def test_each_later_decision_keeps_another_and_a_step_of_the_wall_none(database: Database) -> None:
    a_class = a_finished_class(database)
    runs = look(a_class).runs
    who: dict[str, Any] = {"actor": a_class.teacher, "now": NOW}
    set_aside(database, run_id=runs[0].run_id, reason="spilt", expected_revision=1, **who)
    look(a_class)
    seen = state_of_bench((run.run_revision, run.set_aside) for run in look(a_class).runs_of(2))
    who["practical_id"] = a_class.practical_id
    set_bench_aside(database, bench_number=2, reason="wet", seen=seen, **who)
    look(a_class)
    step_board(database, by=1, **who)
    look(a_class)
    assert [(row.cause, row.runs) for row in kept(database)] == [
        ("finished", 12),
        ("decided after", 11),
        ("decided after", 9),
    ]
    set_room_temperature(database, room=RoomTemperature(), **who)
    assert due(database) == 0, "the same temperature changes nothing"
    reopen_practical(database, **who)
    finish_practical(database, **who)
    look(a_class)
    assert [row.cause for row in kept(database)][3:] == ["finished"]


def test_a_result_that_could_not_be_kept_is_kept_at_the_next_look(
    database: Database, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    a_class = a_finished_class(database)

    def busy(*_: object) -> None:
        raise DatabaseBusy()

    with monkeypatch.context() as patch:
        patch.setattr(keeping, "locked_practical", busy)
        assert look(a_class).result is not None, "the page is there all the same"
    assert (kept(database), due(database)) == ([], 1)
    assert [record.getMessage()[:24] for record in caplog.records] == ["a result is not kept yet"]
    look(a_class)
    assert (len(kept(database)), due(database)) == (1, 0)


def test_upkeep_keeps_what_nobody_looked_at(database: Database) -> None:
    a_finished_class(database)
    assert keep_results_due(database) == 1
    assert (len(kept(database)), due(database), keep_results_due(database)) == (1, 0, 0)


def test_a_class_that_is_not_finished_keeps_nothing_and_a_deleted_one_takes_all_along(
    database: Database,
) -> None:
    a_class = a_collecting_class(database)
    enter_run(database, actor=a_class.join(1), key=new_key(), entry=an_entry(), now=NOW)
    look(a_class)
    assert (kept(database), due(database)) == ([], 0)
    who: dict[str, Any] = {"actor": a_class.teacher, "practical_id": a_class.practical_id, "now": NOW}
    finish_practical(database, **who)
    look(a_class)
    (row,) = kept(database)
    assert row.class_value_J_per_kg_K is not None
    assert (row.class_value_low, row.specific_heat_J_per_kg_K) == (None, None), "one bench: no interval"
    with pytest.raises(ConstraintBroken), database.writing() as session:
        session.execute(text("UPDATE kept_result SET runs = 99"))
    delete_practical(database, **who)
    assert kept(database) == []


def test_a_result_computed_anew_is_kept_beside_the_first_and_told_with_its_teacher(
    database: Database,
) -> None:
    a_class = a_collecting_class(database)
    colleague, head = a_teacher(database, "colleague"), a_teacher(database, "head", is_head=True)
    stored(database, a_class.teacher, Figure(150.0))  # of another practical
    enter_run(database, actor=a_class.join(1), key=new_key(), entry=an_entry(), now=NOW)
    seen, here = look(a_class), a_class.practical_id
    again: dict[str, Any] = {"actor": head, "now": NOW + timedelta(days=1)}
    with pytest.raises(NothingToKeep):
        keep_computed_anew(database, WorkedOut(here, seen.revision, seen.result), **again)
    finish_practical(database, actor=a_class.teacher, practical_id=here, now=NOW)
    seen = look(a_class)
    with pytest.raises(NothingToKeep):
        keep_computed_anew(database, WorkedOut(here, seen.revision, None), **again)
    with pytest.raises(ChangedMeanwhile):
        keep_computed_anew(database, WorkedOut(here, seen.revision - 1, seen.result), **again)
    with pytest.raises(NotYourPractical):
        keep_computed_anew(
            database, WorkedOut(here, seen.revision, seen.result), actor=colleague, now=again["now"]
        )
    keep_computed_anew(database, WorkedOut(here, seen.revision, seen.result), **again)
    found = kept_results(database, actor=colleague, practical_id=here)
    assert [(one.cause, one.at, one.teacher) for one in found] == [
        ("computed anew", again["now"], "Head"),
        ("finished", NOW, "Mrs-Okafor"),
    ]
    assert found[0].figures == found[1].figures
    stranger = a_teacher(database, "stranger", "Elsewhere", is_head=True)
    with pytest.raises(NoSuchPractical):
        kept_results(database, actor=stranger, practical_id=here)
