"""Plans that a class can carry out, their changes, copies and end."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import func, select

from app.physics.limits import MOST_BENCHES, MOST_INVERSIONS, MOST_RUNS_OF_A_BENCH
from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.permission import NoSuchPractical, NotYourPractical
from app.practicals.lesson.plan import (
    PlanChangedMeanwhile,
    PlanProblem,
    change_plan,
    copy_practical,
    plan_practical,
    practical_details,
)
from app.practicals.lesson.room import RoomTemperature
from app.practicals.lesson.states import (
    WrongState,
    finish_practical,
    open_practical,
    pause_practical,
    reopen_practical,
    replace_join_code,
    resume_practical,
)
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.history import history
from app.practicals.runs.sending import enter_run
from app.records.base import Base
from app.records.engine import Database
from app.records.models.practical import LONGEST_QUESTION, LONGEST_SOURCE, LONGEST_TITLE
from tests.practicals.a_class import NOW, a_collecting_class, a_plan, a_teacher, an_entry, new_key
from tests.practicals.seen import practicals_of_department

LINES = (
    BenchPlanLine(1, shot_mass_kg=Decimal("0.25"), start_temperature_C=Decimal("18.5")),
    BenchPlanLine(2, shot_mass_kg=Decimal("0.80"), inversions=80),
)


def rows_of_practicals(database: Database) -> int:
    """How many rows there are in all tables that hang on a practical."""
    names = (
        "practical",
        "bench_plan",
        "state_change",
        "bench",
        "bench_phone",
        "run",
        "run_version",
        "decision",
    )
    with database.reading() as session:
        tables = [Base.metadata.tables[name] for name in names]
        return sum(session.scalar(select(func.count()).select_from(table)) or 0 for table in tables)


def test_a_plan_comes_back_as_it_was_given(database: Database) -> None:
    teacher = a_teacher(database)
    plan = a_plan(bench_plans=LINES, typed={"tube_length": "100,0"}, language="fr", bore_m=Decimal("0.0500"))
    made = plan_practical(database, actor=teacher, plan=plan, now=NOW)
    found = practical_details(database, actor=teacher, practical_id=made.practical_id)
    assert found == made
    assert found.plan == plan
    assert (found.state, found.join_code, found.created_at) == ("planned", None, NOW)


def test_a_bench_gets_its_own_line_filled_up_from_the_practical() -> None:
    plan = a_plan(bench_plans=LINES)
    assert plan.for_bench(2).inversions == 80
    assert plan.for_bench(1).inversions == plan.inversions
    assert plan.for_bench(1).tube_length_m == plan.tube_length_m
    assert plan.for_bench(9).shot_mass_kg is None


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("title", " "),
        ("title", "x" * 121),
        ("accepted_J_per_kg_K", Decimal(0)),
        ("accepted_J_per_kg_K", Decimal(-1)),
        ("accepted_J_per_kg_K", Decimal("NaN")),
        ("accepted_J_per_kg_K", Decimal("1e70")),
        ("accepted_source", ""),
        ("gravity_m_per_s2", Decimal(0)),
        ("tube_length_m", Decimal(0)),
        ("thermometer_step_K", Decimal(0)),
        ("end_allowance_m", Decimal("1.00")),
        ("end_allowance_m", Decimal("-0.01")),
        ("room_temperature_C", Decimal("Infinity")),
        ("inversions", 0),
        ("inversions", 1_000_000),
        ("planned_benches", 0),
        ("planned_benches", 100),
        ("gravity_how", "guessed"),
        ("delete_after", date(2031, 3, 5)),
        ("own_questions", {"spread": "x" * (LONGEST_QUESTION + 1)}),
        ("own_questions", {"nowhere": "Why?"}),
        ("bench_plans", (LINES[0], LINES[0])),
        ("bench_plans", (BenchPlanLine(0),)),
        ("bench_plans", (BenchPlanLine(1, shot_mass_kg=Decimal(0)),)),
        ("bench_plans", (BenchPlanLine(1, inversions=50, second_inversions=0),)),
        ("bench_plans", (BenchPlanLine(1, inversions=50, second_inversions=10_001),)),
        ("bench_plans", (BenchPlanLine(1, shot_mass_kg=Decimal("NaN")),)),
        ("bench_plans", (BenchPlanLine(1, end_allowance_m=Decimal("1.00")),)),
        ("bench_plans", (BenchPlanLine(1, thermometer_step_K=Decimal(0)),)),
    ],
)
def test_what_no_class_could_do_is_refused_by_field(sqlite_database: Database, field, value) -> None:
    teacher = a_teacher(sqlite_database)
    with pytest.raises(PlanProblem) as refusal:
        plan_practical(sqlite_database, actor=teacher, plan=a_plan(**{field: value}), now=NOW)
    assert refusal.value.field == field
    assert ("typed, from latitude, or standard" in str(refusal.value)) == (field == "gravity_how")
    assert rows_of_practicals(sqlite_database) == 0


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("title", "x" * LONGEST_TITLE),
        ("accepted_source", "x" * LONGEST_SOURCE),
        ("own_questions", {"spread": "x" * LONGEST_QUESTION}),
        ("inversions", 1),
        ("inversions", MOST_INVERSIONS),
        ("planned_benches", 1),
        ("planned_benches", MOST_BENCHES),
        ("end_allowance_m", Decimal(0)),
        ("reading_sd_K", Decimal(0)),
        ("delete_after", date(2031, 3, 6)),
        ("bench_plans", (BenchPlanLine(1, end_allowance_m=Decimal(0), inversions=1, runs=1),)),
        (
            "bench_plans",
            (BenchPlanLine(MOST_BENCHES, inversions=MOST_INVERSIONS, runs=MOST_RUNS_OF_A_BENCH),),
        ),
    ],
)
def test_the_last_value_on_either_side_is_taken(sqlite_database: Database, field, value) -> None:
    teacher = a_teacher(sqlite_database)
    made = plan_practical(sqlite_database, actor=teacher, plan=a_plan(**{field: value}), now=NOW)
    assert getattr(made.plan, field) == value


def test_a_change_is_told_in_the_history_and_raises_the_revision(database: Database) -> None:
    one = a_collecting_class(database)
    changed = change_plan(
        database,
        actor=one.teacher,
        practical_id=one.practical_id,
        plan=a_plan(inversions=70, bench_plans=LINES),
        now=NOW,
        expected_revision=one.practical.revision,
    )
    assert changed.revision == one.practical.revision + 1
    assert changed.plan.bench_plans == LINES
    told = history(database, actor=one.teacher, practical_id=one.practical_id)
    (line,) = [line for line in told if line.kind == "plan changed"]
    assert line.reason == "inversions: 50 → 70; bench_plans"


def test_a_plan_that_is_only_typed_otherwise_is_no_line_of_the_history_and_a_newer_plan(
    database: Database,
) -> None:
    one = a_collecting_class(database)
    seen, change = one.practical.revision, {"actor": one.teacher, "practical_id": one.practical_id}
    same = a_plan(typed={"tube_length": "100,0 cm"})
    changed = change_plan(database, plan=same, now=NOW, expected_revision=seen, **change)  # type: ignore[arg-type]
    assert (changed.revision, changed.plan.typed) == (seen + 1, same.typed)
    assert "plan changed" not in [line.kind for line in history(database, **change)]  # type: ignore[arg-type]


def test_a_change_over_an_older_page_is_refused(database: Database) -> None:
    one = a_collecting_class(database)
    change: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id, "now": NOW}
    seen = one.practical.revision
    change_plan(database, plan=a_plan(title="First"), expected_revision=seen, **change)
    with pytest.raises(PlanChangedMeanwhile):
        change_plan(database, plan=a_plan(title="Second"), expected_revision=seen, **change)
    assert practical_details(database, actor=one.teacher, practical_id=one.practical_id).title == "First"


def test_the_states_follow_each_other_and_nothing_else_is_possible(database: Database) -> None:
    teacher = a_teacher(database)
    planned = plan_practical(database, actor=teacher, plan=a_plan(), now=NOW)
    control: dict[str, Any] = {"actor": teacher, "practical_id": planned.practical_id, "now": NOW}
    for impossible in (pause_practical, resume_practical, finish_practical, replace_join_code):
        with pytest.raises(WrongState, match="Open it first"):
            impossible(database, **control)
    opened = open_practical(database, **control)
    assert (opened.state, opened.opened_at) == ("collecting", NOW)
    assert open_practical(database, **control) == opened, "pressed twice is pressed once"
    assert pause_practical(database, **control).join_code == opened.join_code
    assert resume_practical(database, **control).state == "collecting"
    finished = finish_practical(database, **control)
    assert (finished.state, finished.join_code, finished.finished_at) == ("finished", None, NOW)
    with pytest.raises(WrongState, match="Reopen it first"):
        pause_practical(database, **control)
    reopened = reopen_practical(database, **control)
    assert (reopened.state, reopened.finished_at) == ("collecting", None)
    assert reopened.join_code not in (None, opened.join_code)
    told = history(database, actor=teacher, practical_id=planned.practical_id)
    steps = ["opened", "paused", "resumed", "finished", "reopened"]
    assert [(line.kind, line.actor) for line in told[1:]] == [(step, teacher.name) for step in steps]
    assert reopened.revision == planned.revision + len(steps)


def test_a_practical_opens_with_the_room_temperature_that_was_read(sqlite_database: Database) -> None:
    teacher, read = a_teacher(sqlite_database), RoomTemperature("21,3", Decimal("21.3"))
    plan = a_plan(room_temperature_C=Decimal(20))
    made = plan_practical(sqlite_database, actor=teacher, plan=plan, now=NOW).practical_id
    opened = open_practical(sqlite_database, actor=teacher, practical_id=made, now=NOW, room=read).plan
    assert (opened.room_temperature_C, opened.typed["room_temperature"]) == (read.value_C, read.typed)


def test_a_copy_has_the_plan_and_nothing_that_was_measured(database: Database) -> None:
    one = a_collecting_class(database, bench_plans=LINES, delete_after=date(2032, 1, 1))
    enter_run(database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    colleague = a_teacher(database, "colleague")
    copied = copy_practical(
        database,
        actor=colleague,
        practical_id=one.practical_id,
        title="Period 5",
        held_on=date(2031, 3, 7),
        now=NOW,
    )
    assert (copied.state, copied.teacher_id, copied.title) == ("planned", colleague.teacher_id, "Period 5")
    assert copied.plan.bench_plans == LINES
    assert copied.plan.delete_after is None


def test_a_copy_is_for_another_day_and_has_no_room_temperature_yet(database: Database) -> None:
    typed = {"room_temperature": "23.5", "bore": "45 mm"}
    one = a_collecting_class(database, room_temperature_C=Decimal("23.5"), typed=typed)
    copied = copy_practical(
        database,
        actor=one.teacher,
        practical_id=one.practical_id,
        title="Period 5",
        held_on=date(2031, 3, 7),
        now=NOW,
    )
    assert copied.plan.room_temperature_C is None
    assert copied.plan.typed == {"bore": "45 mm"}


def test_deleting_takes_everything_of_that_practical_and_nothing_else(database: Database) -> None:
    one = a_collecting_class(database, bench_plans=LINES)
    other = plan_practical(database, actor=one.teacher, plan=a_plan(title="Other"), now=NOW)
    run = enter_run(database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    set_aside(database, actor=one.teacher, run_id=run.run_id, reason="odd", expected_revision=1, now=NOW)
    delete_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert [p.practical_id for p in practicals_of_department(database, actor=one.teacher)] == [
        other.practical_id
    ]
    assert rows_of_practicals(database) == 2, "the other practical and its first history line"


def test_who_may_see_change_and_delete(database: Database) -> None:
    one = a_collecting_class(database)
    colleague, head = a_teacher(database, "colleague"), a_teacher(database, "head", is_head=True)
    stranger = a_teacher(database, "stranger", "Elsewhere", is_head=True)
    seen = {"practical_id": one.practical_id}
    assert practical_details(database, actor=colleague, **seen).title == "Period 4"
    with pytest.raises(NotYourPractical):
        change_plan(database, actor=colleague, plan=a_plan(), now=NOW, **seen)
    with pytest.raises(NotYourPractical):
        delete_practical(database, actor=colleague, now=NOW, **seen)
    with pytest.raises(NoSuchPractical):
        practical_details(database, actor=stranger, **seen)
    with pytest.raises(NoSuchPractical):
        delete_practical(database, actor=stranger, now=NOW, **seen)
    assert practicals_of_department(database, actor=stranger) == []
    assert change_plan(database, actor=head, plan=a_plan(title="By the head"), now=NOW, **seen)
    delete_practical(database, actor=head, now=NOW, **seen)
    with pytest.raises(NoSuchPractical, match="may have been deleted; go back to your list"):
        practical_details(database, actor=one.teacher, **seen)


@pytest.mark.parametrize(
    ("steps", "differ"),
    [({}, False), ({1: "0.5"}, True), ({12: "0.5"}, True), ({13: "0.5"}, False)],
)
def test_thermometers_differ_where_one_of_the_planned_benches_has_another(
    steps: dict[int, str], differ: bool
) -> None:
    lines = tuple(BenchPlanLine(bench, thermometer_step_K=Decimal(step)) for bench, step in steps.items())
    plan = a_plan(planned_benches=12, bench_plans=lines)
    assert plan.thermometers_differ is differ
