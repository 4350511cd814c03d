"""A whole class sends at the same moment: every run exactly once, every answer true."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable
from typing import TypeVar

from sqlalchemy import func, select

from app.practicals.benches.joining import BenchTaken, join_bench
from app.practicals.runs.decisions import DecidedMeanwhile, set_aside
from app.practicals.runs.refusals import RunChangedMeanwhile
from app.practicals.runs.sending import correct_run, enter_run
from app.practicals.runs.storing import SavedRun
from app.records.engine import Database
from app.records.errors import DatabaseBusy
from app.records.models import Bench, Decision, Practical, Run, RunVersion
from tests.practicals.a_class import (
    NOW,
    AClass,
    a_collecting_class,
    a_teacher,
    an_entry,
    new_key,
    revision_of,
)
from tests.practicals.seen import count

PHONES = 40
Answer = TypeVar("Answer")


def at_once(*actions: Callable[[], object]) -> list[object]:
    """Start all the actions together; what each returned or raised, in their order."""
    gate = threading.Barrier(len(actions))
    outcomes: list[object] = [None] * len(actions)

    def act(place: int, action: Callable[[], object]) -> None:
        gate.wait()
        try:
            outcomes[place] = action()
        except Exception as error:
            outcomes[place] = error

    threads = [threading.Thread(target=act, args=pair) for pair in enumerate(actions)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes


def patiently(action: Callable[[], Answer]) -> Answer:
    """As a phone does it: ask again as long as the server says that it is busy."""
    while True:
        try:
            return action()
        except DatabaseBusy:
            continue


def test_forty_phones_send_at_once_and_each_run_is_there_once(database: Database) -> None:
    one = a_collecting_class(database)
    benches = [one.join(number) for number in range(1, PHONES + 1)]
    before = revision_of(database, one.practical_id)
    assert before is not None

    def send(bench) -> Callable[[], SavedRun]:
        key = new_key()
        return lambda: patiently(lambda: enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW))

    outcomes = at_once(*(send(bench) for bench in benches))
    assert [saved for saved in outcomes if not isinstance(saved, SavedRun)] == []
    assert count(database, Run) == count(database, RunVersion) == PHONES
    revisions = sorted(saved.revision for saved in outcomes if isinstance(saved, SavedRun))
    assert revisions == list(range(before + 1, before + 1 + PHONES)), "no revision was given out twice"
    assert revision_of(database, one.practical_id) == before + PHONES


def test_the_same_run_sent_twenty_times_at_once_is_stored_once(database: Database) -> None:
    one = a_collecting_class(database)
    bench, key = one.join(1), new_key()
    send = lambda: patiently(  # noqa: E731
        lambda: enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW)
    )
    outcomes = at_once(*[send] * 20)
    saved = [outcome for outcome in outcomes if isinstance(outcome, SavedRun)]
    assert len(saved) == 20
    assert len({one.run_id for one in saved}) == 1
    assert Counter(one.repeated for one in saved) == {False: 1, True: 19}
    assert count(database, Run) == 1


def test_one_bench_with_many_phones_numbers_its_runs_without_a_gap(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(1)
    outcomes = at_once(
        *[
            lambda: patiently(
                lambda: enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
            )
        ]
        * 12
    )
    numbers = sorted(saved.number for saved in outcomes if isinstance(saved, SavedRun))
    # A lambda that is called again after "busy" has a new key, as a new run would.
    assert numbers == list(range(1, 13))


def test_two_phones_choose_the_same_bench_and_one_gets_it(database: Database) -> None:
    one = a_collecting_class(database)
    code = one.practical.join_code or ""
    join = lambda: patiently(lambda: join_bench(database, code=code, bench_number=5, now=NOW))  # noqa: E731
    outcomes = at_once(*[join] * 8)
    assert sum(isinstance(outcome, BenchTaken) for outcome in outcomes) == 7
    assert count(database, Bench) == 1


def test_two_teachers_decide_at_once_and_one_is_told(database: Database) -> None:
    one = a_collecting_class(database)
    head = a_teacher(database, "head", is_head=True)
    run = enter_run(database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW).run_id

    def decide(actor) -> Callable[[], object]:
        return lambda: patiently(
            lambda: set_aside(database, actor=actor, run_id=run, reason="odd", expected_revision=1, now=NOW)
        )

    outcomes = at_once(decide(one.teacher), decide(head))
    assert sum(isinstance(outcome, DecidedMeanwhile) for outcome in outcomes) == 1
    assert count(database, Decision) == 1


def test_two_phones_of_a_bench_correct_at_once_and_one_is_told(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(1)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW).run_id

    def correct(end: str) -> Callable[[], object]:
        key = new_key()
        return lambda: patiently(
            lambda: correct_run(
                database,
                actor=bench,
                run_id=run,
                key=key,
                entry=an_entry(end=end),
                reason="",
                now=NOW,
                expected_revision=1,
            )
        )

    outcomes = at_once(correct("22.0"), correct("23.0"))
    assert sum(isinstance(outcome, RunChangedMeanwhile) for outcome in outcomes) == 1
    assert count(database, RunVersion) == 2


def test_two_classes_do_not_wait_for_each_others_numbers(database: Database) -> None:
    first = a_collecting_class(database)
    second = AClass(database, first.teacher, _another(first))
    benches = [(one, one.join(number)) for one in (first, second) for number in range(1, 9)]

    def send(bench) -> Callable[[], SavedRun]:
        key = new_key()
        return lambda: patiently(lambda: enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW))

    outcomes = at_once(*(send(bench) for _, bench in benches))
    assert all(isinstance(outcome, SavedRun) for outcome in outcomes)
    with database.reading() as session:
        for one in (first, second):
            runs = select(func.count()).where(Run.practical_id == one.practical_id)
            assert session.scalar(runs) == 8
            assert session.get_one(Practical, one.practical_id).revision == 2 + 8 + 8


def _another(one: AClass):
    from app.practicals.lesson.plan import plan_practical
    from app.practicals.lesson.states import open_practical
    from tests.practicals.a_class import a_plan

    planned = plan_practical(one.database, actor=one.teacher, plan=a_plan(title="Period 5"), now=NOW)
    return open_practical(one.database, actor=one.teacher, practical_id=planned.practical_id, now=NOW)
