"""Runs that came too fast are kept, wait for the teacher, and are decided about together."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import select

from app.analysis.analyse import analyse_class
from app.analysis.readings import ClassSettings
from app.exports.class_in_table import classes_in_table
from app.exports.record import exact_json
from app.exports.tidy.class_columns import BENCHES
from app.exports.tidy.columns import RUNS
from app.exports.tidy.csv_text import CsvText
from app.exports.tidy.tables import rows_of
from app.practicals.board.reveal import pause_board
from app.practicals.board.snapshot import board_snapshot, class_snapshot
from app.practicals.lesson.permission import NotYourPractical
from app.practicals.lesson.states import finish_practical
from app.practicals.out.whole import whole_practical
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.sending import correct_run, enter_run
from app.practicals.runs.too_fast import NothingWaits, decide_waiting
from app.practicals.runs.whole_bench import (
    benches_aside,
    set_bench_aside,
    state_of_bench,
    undo_bench_aside,
)
from app.records.choices import DecisionAction
from app.records.engine import Database
from app.records.models import Decision, Practical, Run
from app.records.whole import WholePractical
from tests.exports.record.bringing import bring, emptied, written
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_teacher, an_entry, new_key
from tests.practicals.seen import bench_runs, count

COUNT, ASIDE = DecisionAction.COUNTED, DecisionAction.SET_ASIDE
IN_TIME, SENT = 3, 7


@pytest.fixture
def one(database: Database) -> AClass:
    """Bench 2 with a run; a phone of bench 4 has sent seven in one instant, and three came in time."""
    one = a_collecting_class(database)
    _send(one, one.join(2))
    _send(one, one.join(4), *["341", "339", "342", "200", "201", "202", "203"])
    return one


def _send(one: AClass, bench: BenchIdentity, *masses: str) -> list[bool]:
    """Whether each waits."""
    entries = [an_entry(mass) for mass in masses or ("340",)]
    return [
        enter_run(one.database, actor=bench, key=new_key(), entry=entry, now=NOW).waits for entry in entries
    ]


def _decide(one: AClass, action: DecisionAction, **changes: Any) -> int:
    asked: dict[str, Any] = {"actor": one.teacher, "bench_number": 4, "reason": "asked", "up_to": SENT}
    asked |= {"now": NOW, **changes}
    return decide_waiting(one.database, practical_id=one.practical_id, action=action, **asked)


def _in_class(one: AClass) -> list[tuple[int, int]]:
    seen = class_snapshot(one.database, one.practical_id, actor=one.teacher)
    assert len(seen.readings) == len(seen.runs) == len(seen.result.runs if seen.result else ())
    return [(run.bench_number, run.number) for run in seen.runs]


IN_TIME_RUNS = [(2, 1), (4, 1), (4, 2), (4, 3)]
ALL_RUNS = [(2, 1), *((4, number) for number in range(1, SENT + 1))]


def test_a_run_too_fast_is_answered_kept_and_in_nothing_that_the_class_sees(one: AClass) -> None:
    before = _revision(one)
    sent: dict[str, Any] = {"actor": _bench(one, 4), "key": new_key(), "entry": an_entry("210"), "now": NOW}
    answers = [enter_run(one.database, **sent) for _ in range(2)]
    assert [(saved.waits, saved.repeated) for saved in answers] == [(True, False), (True, True)]
    assert _in_class(one) == IN_TIME_RUNS
    seen = class_snapshot(one.database, one.practical_id, actor=one.teacher)
    assert [run.number for run in seen.held_back] == [4, 5, 6, 7, 8]
    assert _revision(one) == before, "no page of the class is worked out anew for it"
    assert count(one.database, Run) == SENT + 2


def test_a_correction_is_no_new_run_and_lets_nothing_in(one: AClass) -> None:
    bench = _bench(one, 4)
    first, *_, last = bench_runs(one.database, actor=bench)
    for run in (first, last):
        correct_run(
            one.database, actor=bench, run_id=run.run_id, key=new_key(), entry=an_entry(), reason="", now=NOW
        )
    assert _in_class(one) == IN_TIME_RUNS


def test_one_decision_lets_them_count_and_what_came_since_goes_on_waiting(one: AClass) -> None:
    _send(one, _bench(one, 4), "210")
    assert _decide(one, COUNT) == SENT - IN_TIME
    assert _in_class(one) == ALL_RUNS
    assert [run.waits for run in bench_runs(one.database, actor=_bench(one, 4))] == [False] * SENT + [True]
    with pytest.raises(NothingWaits, match="somebody has decided"):
        _decide(one, COUNT)
    with one.database.reading() as session:
        assert set(session.scalars(select(Decision.reason))) == {"asked"}
    assert count(one.database, Decision) == SENT - IN_TIME


def test_set_aside_they_are_not_even_hollow_on_the_wall_and_can_count_after_all(one: AClass) -> None:
    assert _decide(one, ASIDE) == SENT - IN_TIME
    assert _in_class(one) == IN_TIME_RUNS
    with pytest.raises(NothingWaits):
        _decide(one, COUNT)
    assert _decide(one, COUNT, again=True) == SENT - IN_TIME
    assert _in_class(one) == ALL_RUNS


def test_a_whole_bench_goes_with_what_waits_and_comes_back_without_it(one: AClass) -> None:
    seen = state_of_bench(
        (run.run_revision, run.set_aside) for run in bench_runs(one.database, actor=_bench(one, 4))
    )
    of_practical: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id}
    asked: dict[str, Any] = {"bench_number": 4, "reason": "made up", "seen": seen, "now": NOW}
    for _ in range(2):  # the second tap gets the same answer
        assert set_bench_aside(one.database, **of_practical, **asked) == SENT
    result = class_snapshot(one.database, one.practical_id, actor=one.teacher)
    assert [run.set_aside for run in result.runs] == [False, True, True, True]
    (step,) = benches_aside(one.database, **of_practical)
    assert step.runs == IN_TIME
    undone = undo_bench_aside(
        one.database, **of_practical, decision_id=step.decision_id, reason="no", now=NOW
    )
    assert undone == IN_TIME
    assert _in_class(one) == IN_TIME_RUNS


def test_nobody_but_its_teacher_decides(one: AClass) -> None:
    with pytest.raises(NotYourPractical):
        _decide(one, COUNT, actor=a_teacher(one.database, "mr-ito"))
    assert count(one.database, Decision) == 0


def test_a_held_wall_shows_what_counted_when_it_was_held(one: AClass) -> None:
    def on_the_wall() -> list[int]:
        shown = board_snapshot(one.database, one.practical_id, actor=one.teacher).runs
        return [run.number for run in shown if run.bench_number == 4]

    pause_board(one.database, actor=one.teacher, practical_id=one.practical_id, paused=True, now=NOW)
    _decide(one, COUNT)
    assert on_the_wall() == [1, 2, 3]
    pause_board(one.database, actor=one.teacher, practical_id=one.practical_id, paused=False, now=NOW)
    assert on_the_wall() == [1, 2, 3, 4, 5, 6, 7]


def test_a_finished_practical_counts_none_that_waits_and_says_so_in_its_tables(one: AClass) -> None:
    finish_practical(one.database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert _in_class(one) == IN_TIME_RUNS
    rows = list(rows_of(RUNS, _whole(one), None))
    names = RUNS.names
    told = [
        {name: row[names.index(name)] for name in ("bench", "run", "set_aside", "came_too_fast", "decision")}
        for row in rows
    ]
    assert told[3] == {"bench": "4", "run": "3", "set_aside": None, "came_too_fast": None, "decision": None}
    assert told[4] == {"bench": "4", "run": "4", "set_aside": "yes", "came_too_fast": "yes", "decision": None}
    (_, of_four) = rows_of(BENCHES, _whole(one), None)
    assert [of_four[BENCHES.names.index(name)] for name in ("runs", "runs_set_aside", "runs_waiting")] == [
        SENT,
        0,
        SENT - IN_TIME,
    ]


@pytest.mark.parametrize("decided", [None, ASIDE, COUNT])
def test_the_table_and_the_document_give_the_page_s_result_again(
    one: AClass, decided: DecisionAction | None
) -> None:
    if decided is not None:
        _decide(one, decided)
    seen = class_snapshot(one.database, one.practical_id, actor=one.teacher)
    table = CsvText(RUNS)
    (found,) = classes_in_table(table.heading() + table.rows(rows_of(RUNS, _whole(one), None)))
    assert seen.result is not None
    again = analyse_class(found.runs, ClassSettings(**dict(found.shared)))  # type: ignore[arg-type]
    assert again.class_value == seen.result.class_value
    assert [run.readings.run for run in again.runs] == [run.readings.run for run in seen.result.runs]
    text = written(one.database, one.teacher, one.practical_id)
    older = exact_json.loads(text)
    head = emptied(one.database)
    brought = bring(one.database, head, text)
    assert written(one.database, head, brought.practical_id).count('"came_too_fast": true') == SENT - IN_TIME
    there = class_snapshot(one.database, brought.practical_id, actor=head)
    assert [run.entry.shot_mass.raw for run in there.runs] == [run.entry.shot_mass.raw for run in seen.runs]
    assert [run.waits for run in there.held_back] == [run.waits for run in seen.held_back]
    for run in older["benches"][1]["runs"]:
        del run["came_too_fast"]
    emptied_again = emptied(one.database)
    brought = bring(one.database, emptied_again, exact_json.dumps(older))
    from_before = class_snapshot(one.database, brought.practical_id, actor=emptied_again)
    assert len(from_before.runs) == len(ALL_RUNS), "a document from before knows of no run too fast"


def _whole(one: AClass) -> WholePractical:
    return whole_practical(one.database, actor=one.teacher, practical_id=one.practical_id)


def _revision(one: AClass) -> int:
    with one.database.reading() as session:
        return session.get_one(Practical, one.practical_id).revision


def _bench(one: AClass, number: int) -> BenchIdentity:
    """The identity of a bench, for a phone of which only the bench matters."""
    benches = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    (bench_id,) = [bench.bench_id for bench in benches if bench.number == number]
    return BenchIdentity(one.practical_id, bench_id, number, 0, False)
