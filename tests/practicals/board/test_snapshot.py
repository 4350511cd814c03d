"""A class is worked out once for each set of readings, and a snapshot belongs to one moment."""

from __future__ import annotations

import threading
from decimal import Decimal

import pytest
from sqlalchemy import event

from app.analysis.results import ClassResult
from app.practicals.benches.own_bench import note_progress
from app.practicals.board import snapshot as results
from app.practicals.board.reveal import step_board
from app.practicals.board.snapshot import Snapshot, board_snapshot, class_snapshot, current_presence
from app.practicals.lesson.details import BenchPlanLine, Typed
from app.practicals.lesson.permission import NoSuchPractical
from app.practicals.lesson.plan import change_plan
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from app.web.board.picture import picture_of
from tests.practicals.a_class import (
    NOW,
    AClass,
    a_collecting_class,
    a_plan,
    a_teacher,
    an_entry,
    new_key,
)


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many runs went into each analysis that was really done."""
    done: list[int] = []
    original = results._work_out

    def counted(readings, settings) -> ClassResult:
        done.append(len(readings))
        return original(readings, settings)

    monkeypatch.setattr(results, "_work_out", counted)
    results._result_of.cache_clear()
    return done


def send(one: AClass, bench: int, end: str = "21.4", mass: str = "340") -> int:
    actor = one.join(bench)
    entry = an_entry(mass_g=mass, end=end)
    return enter_run(one.database, actor=actor, key=new_key(), entry=entry, now=NOW).run_id


def shown(one: AClass) -> Snapshot:
    """The class as a page sees it that shows its result."""
    snapshot = class_snapshot(one.database, one.practical_id, actor=one.teacher)
    assert snapshot.result is not None
    return snapshot


def test_nothing_is_worked_out_for_pages_that_only_count_runs(
    database: Database, worked_out: list[int]
) -> None:
    one = a_collecting_class(database)
    send(one, 1)
    seen = board_snapshot(database, one.practical_id, actor=one.teacher)
    assert picture_of(seen, "here").status.values == {"runs": "1"}
    assert worked_out == []
    step_board(database, actor=one.teacher, practical_id=one.practical_id, by=1, now=NOW)
    assert picture_of(board_snapshot(database, one.practical_id, actor=one.teacher), "here").figure
    assert worked_out == [1]


def test_a_class_without_runs_has_no_result(database: Database) -> None:
    one = a_collecting_class(database)
    one.join(4)
    snapshot = class_snapshot(database, one.practical_id, actor=one.teacher)
    assert (snapshot.result, snapshot.runs, snapshot.rehearsal) == (None, (), False)
    assert [bench.number for bench in snapshot.benches] == [4]


def test_the_result_is_that_of_the_stored_readings(database: Database) -> None:
    one = a_collecting_class(database)
    for bench, end in ((1, "23.0"), (2, "22.9"), (3, "23.1")):
        send(one, bench, end)
    result = class_snapshot(database, one.practical_id, actor=one.teacher).result
    assert result is not None
    first = result.runs[0]
    # c* = g·h·N / w, worked out by hand: 9.80665 × 0.95 × 50 / 3.8 = 122.583 J/(kg·K)
    assert first.apparent_heat_capacity_J_per_kg_K == pytest.approx(122.583125)
    assert first.readings.shot_mass_kg == 0.34
    assert result.settings.accepted_J_per_kg_K == 128
    assert [bench.bench for bench in result.benches] == ["1", "2", "3"]


def test_many_pages_and_one_analysis(database: Database, worked_out: list[int]) -> None:
    one = a_collecting_class(database)
    for bench in (1, 2, 3):
        send(one, bench, f"{22 + bench / 10}")
    askers = [threading.Thread(target=lambda: shown(one)) for _ in range(12)]
    for asker in askers:
        asker.start()
    for asker in askers:
        asker.join()
    assert worked_out == [3]
    step_board(database, actor=one.teacher, practical_id=one.practical_id, by=1, now=NOW)
    assert shown(one).board.step == "spread"
    assert worked_out == [3], "a step of the board changes no reading"


def test_every_change_of_readings_decisions_or_plan_is_worked_out_again(
    database: Database, worked_out: list[int]
) -> None:
    one = a_collecting_class(database)
    run = send(one, 1)
    actor = one.teacher
    shown(one)
    correct_run(
        database, actor=actor, run_id=run, key=new_key(), entry=an_entry(end="23"), reason="misread", now=NOW
    )
    shown(one)
    set_aside(database, actor=actor, run_id=run, reason="odd", expected_revision=2, now=NOW)
    aside = shown(one)
    assert aside.runs[0].set_aside
    plan = a_plan(gravity_m_per_s2=Decimal("9.78"), gravity_how="typed")
    change_plan(database, actor=actor, practical_id=one.practical_id, plan=plan, now=NOW)
    changed = shown(one)
    assert worked_out == [1, 1, 1, 1]
    assert changed.result is not None
    assert changed.result.settings.gravity_m_per_s2 == 9.78


def test_the_question_that_is_asked_every_two_seconds_is_one_light_query(database: Database) -> None:
    one = a_collecting_class(database)
    send(one, 1)
    asked: list[str] = []

    def note(_connection, _cursor, statement, *_rest) -> None:
        if not statement.upper().startswith("BEGIN"):
            asked.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        current_presence(database, one.practical_id, actor=one.teacher)
    finally:
        event.remove(database.engine, "before_cursor_execute", note)
    assert len(asked) == 1
    assert all("JOIN" not in statement and "run" not in statement for statement in asked)
    assert current_presence(database, 999_999, actor=one.teacher) is None


def test_a_snapshot_is_kept_until_something_changes(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(1)
    first = class_snapshot(database, one.practical_id, actor=one.teacher)
    assert class_snapshot(database, one.practical_id, actor=one.teacher) is first
    note_progress(database, actor=bench, progress="counting", counted_so_far=10, now=NOW)
    second = class_snapshot(database, one.practical_id, actor=one.teacher)
    assert second.revision == first.revision
    assert second.presence > first.presence
    assert second.benches[0].counted_so_far == 10
    watched = current_presence(database, one.practical_id, actor=one.teacher)
    assert watched == (second.revision, second.presence) != (second.presence, second.revision)


def test_everything_in_a_snapshot_is_of_its_revision_while_benches_send(database: Database) -> None:
    one = a_collecting_class(database)
    benches = [one.join(number) for number in range(1, 5)]
    base = class_snapshot(database, one.practical_id, actor=one.teacher).revision
    stop = threading.Event()

    def send_on(bench) -> None:
        for place in range(6):
            entry = an_entry(end=f"{22 + place / 10}")
            enter_run(database, actor=bench, key=new_key(), entry=entry, now=NOW)

    seen = []

    def look() -> None:
        while not stop.is_set():
            snapshot = class_snapshot(database, one.practical_id, actor=one.teacher)
            seen.append((snapshot.revision, len(snapshot.runs), snapshot.result))

    watcher = threading.Thread(target=look)
    watcher.start()
    senders = [threading.Thread(target=send_on, args=(bench,)) for bench in benches]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join()
    stop.set()
    watcher.join()
    assert seen
    for revision, runs, result in seen:
        assert revision - base == runs, "each run raised the revision by one"
        assert (0 if result is None else len(result.runs)) == runs
    assert [one for one, *_ in seen] == sorted(one for one, *_ in seen)


def test_only_those_who_may_see_get_a_snapshot(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(1)
    assert class_snapshot(database, one.practical_id, actor=bench)
    assert class_snapshot(database, one.practical_id, actor=a_teacher(database, "colleague"))
    with pytest.raises(NoSuchPractical):
        class_snapshot(database, one.practical_id, actor=a_teacher(database, "stranger", "Elsewhere"))
    with pytest.raises(NoSuchPractical):
        class_snapshot(database, 999_999, actor=one.teacher)


def test_a_room_temperature_goes_into_the_analysis(database: Database) -> None:
    one = a_collecting_class(database, room_temperature_C=Decimal("20.5"))
    bench = one.join(1)
    entry = an_entry(room_temperature=Typed("22", Decimal(22), "°C"))
    enter_run(database, actor=bench, key=new_key(), entry=entry, now=NOW)
    result = class_snapshot(database, one.practical_id, actor=one.teacher).result
    assert result is not None
    assert (result.runs[0].readings.room_temperature_C, result.settings.room_temperature_C) == (22.0, 20.5)


def test_a_bench_with_the_light_shot_of_its_plan_needs_no_second_look(database: Database) -> None:
    """The planner gives a few benches a fifth of the others' shot; that alone flags nobody."""
    masses = ("1000", "1000", "1000", "200", "200")
    lines = tuple(BenchPlanLine(i, shot_mass_kg=Decimal(mass) / 1000) for i, mass in enumerate(masses, 1))
    one = a_collecting_class(database, bench_plans=lines, planned_benches=5)
    for bench, mass in enumerate(masses, 1):
        send(one, bench, end="22.4" if mass == "1000" else "21.2", mass=mass)
    result = class_snapshot(database, one.practical_id, actor=one.teacher).result
    assert result is not None
    assert [flag.rule for run in result.runs for flag in run.flags] == []


def test_a_run_is_held_against_its_own_bench_s_line_of_the_plan(sqlite_database: Database) -> None:
    lines = (
        BenchPlanLine(1, shot_mass_kg=Decimal("0.9"), inversions=90, thermometer_step_K=Decimal("0.5")),
        BenchPlanLine(2, shot_mass_kg=Decimal("0.34"), tube_length_m=Decimal("1.2")),
    )
    one = a_collecting_class(sqlite_database, bench_plans=lines)
    for number in (1, 2, 3):
        enter_run(sqlite_database, actor=one.join(number), key=new_key(), entry=an_entry(), now=NOW)
    runs = class_snapshot(sqlite_database, one.practical_id, actor=one.teacher).readings
    assert [
        (run.planned_shot_mass_kg, run.planned_tube_length_m, run.planned_inversions, run.thermometer_step_K)
        for run in runs
    ] == [(0.9, None, 90, 0.5), (0.34, 1.2, None, None), (None, None, None, None)]
    assert {(run.start_read_in, run.end_read_in) for run in runs} == {("°C", "°C")}
