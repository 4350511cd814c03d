"""What a decision would do: nothing is fitted twice, and few fits are kept."""

from __future__ import annotations

import gc
from weakref import WeakSet

import pytest

from app.analysis import if_decided
from app.practicals.board import what_if as what_ifs
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.board.what_if import what_if, with_every_run
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from tests.practicals.a_class import NOW, AClass, a_collecting_class, an_entry, new_key


@pytest.fixture
def fits(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many runs count in each fit that was really made; the fits themselves are in `ALIVE`."""
    made: list[int] = []
    for asked in (what_ifs._if_fitted, what_ifs._if_set_aside, what_ifs._fitted):
        asked.cache.clear()
    ALIVE.clear()

    class Counted(if_decided.IfDecided):
        def __init__(self, runs, settings) -> None:
            super().__init__(runs, settings)
            made.append(sum(not run.set_aside for run in runs))
            ALIVE.add(self)

    monkeypatch.setattr(if_decided, "IfDecided", Counted)
    return made


ALIVE: WeakSet[if_decided.IfDecided] = WeakSet()


@pytest.fixture
def a_class(sqlite_database: Database) -> AClass:
    """Four benches with a run each."""
    a_class = a_collecting_class(sqlite_database)
    for number in range(1, 5):
        _one_more(a_class, number, f"21.{number}")
    return a_class


def _one_more(a_class: AClass, number: int, end: str) -> None:
    enter_run(
        a_class.database,
        actor=a_class.teacher,
        practical_id=a_class.practical_id,
        bench_number=number,
        key=new_key(),
        entry=an_entry(end=end),
        now=NOW,
    )


def _now(a_class: AClass) -> Snapshot:
    return class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)


def _set_aside(a_class: AClass, number: int) -> None:
    run = _now(a_class).runs[number - 1]
    set_aside(
        a_class.database,
        actor=a_class.teacher,
        run_id=run.run_id,
        reason="tried out",
        expected_revision=run.run_revision,
        now=NOW,
    )


@pytest.mark.parametrize("number", [1, 4])
def test_the_class_as_it_stands_is_not_fitted_again(a_class: AClass, fits: list[int], number: int) -> None:
    _set_aside(a_class, number)
    snapshot = _now(a_class)
    effects = what_if(snapshot, number, 1)
    assert fits == [4], "only with the run counted"
    assert snapshot.result is not None
    assert effects.as_it_stands.class_value == snapshot.result.class_value
    assert effects.as_it_stands.separated == snapshot.result.separated
    assert with_every_run(snapshot) == effects.the_other_way
    assert fits == [4], "the same readings"


def test_what_was_asked_once_is_kept_and_its_fit_is_not(a_class: AClass, fits: list[int]) -> None:
    first = _now(a_class)
    asked = [what_if(first, number, 1) for number in (1, 2)]
    assert fits == [4]
    assert [one.bench_set_aside for one in asked] == [None, None], "its one run is the whole bench"
    for place in range(3):
        _one_more(a_class, 1, f"21.{5 + place}")
        what_if(_now(a_class), 2, 1)
    assert fits == [4, 5, 6, 7]
    gc.collect()
    assert len(ALIVE) <= 2, "a fit holds the draws of a whole class"
    assert [what_if(first, number, 1) for number in (1, 2)] == asked
    assert fits == [4, 5, 6, 7]
