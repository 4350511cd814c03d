"""Several runs that a teacher types: all are stored or none, and what is stored is known by its values."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.practicals.lesson.states import finish_practical
from app.practicals.runs.entry import ImpossibleReading
from app.practicals.runs.reading import runs_in, stored_runs
from app.practicals.runs.refusals import BadKey, KeyUsedOtherwise, PracticalClosed
from app.practicals.runs.sending import OneRunRefused, TypedAtTheDesk, correct_run, enter_runs
from app.practicals.runs.storing import SavedRun
from app.records.engine import Database
from tests.practicals.a_class import NOW, AClass, a_collecting_class, an_entry, new_key


def enter(a_class: AClass, *runs: TypedAtTheDesk) -> tuple[SavedRun, ...]:
    """The teacher's send."""
    return enter_runs(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, runs=runs, now=NOW
    )


def numbers(a_class: AClass) -> list[tuple[int, int]]:
    """Bench and number of every run in the records."""
    with a_class.database.reading() as session:
        return [(run.bench_number, run.number) for run in runs_in(session, a_class.practical_id)]


def test_a_run_that_is_refused_keeps_all_the_others_out(database: Database) -> None:
    a_class = a_collecting_class(database)
    first = TypedAtTheDesk(3, new_key(), an_entry())
    assert [run.number for run in enter(a_class, first, TypedAtTheDesk(3, new_key(), an_entry()))] == [1, 2]
    other = TypedAtTheDesk(5, new_key(), an_entry())
    with pytest.raises(OneRunRefused) as refused:
        enter(a_class, other, TypedAtTheDesk(4, first.key, an_entry()))
    assert refused.value.place == 1
    assert isinstance(refused.value.why, KeyUsedOtherwise)
    assert numbers(a_class) == [(3, 1), (3, 2)]
    saved = enter(a_class, other, first)
    assert [(run.bench_number, run.number, run.repeated) for run in saved] == [(5, 1, False), (3, 1, True)]
    finish_practical(database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    assert all(run.repeated for run in enter(a_class, other, first))
    with pytest.raises(PracticalClosed):
        enter(a_class, first, TypedAtTheDesk(6, new_key(), an_entry()))
    assert numbers(a_class) == [(3, 1), (3, 2), (5, 1)]


def test_no_run_is_stored_beside_one_that_cannot_be_or_has_no_key(sqlite_database: Database) -> None:
    a_class = a_collecting_class(sqlite_database)
    good = TypedAtTheDesk(3, new_key(), an_entry())
    with pytest.raises(ImpossibleReading):
        enter(a_class, good, TypedAtTheDesk(3, new_key(), an_entry(end="2000")))
    with pytest.raises(BadKey):
        enter(a_class, good, TypedAtTheDesk(3, "x", an_entry()))
    assert numbers(a_class) == []


def test_a_stored_run_is_known_by_every_value_that_it_had(database: Database) -> None:
    a_class = a_collecting_class(database)
    (saved,) = enter(a_class, run := TypedAtTheDesk(3, new_key(), an_entry(end="21.40")))
    correct_run(
        database,
        actor=a_class.teacher,
        run_id=saved.run_id,
        key=new_key(),
        entry=an_entry(end="21.6"),
        reason="misread",
        now=NOW,
    )
    known = stored_runs(database, actor=a_class.teacher, practical_id=a_class.practical_id)
    first = ("0.34", "1", "0.05", "50", "19.2", "21.4", None, None, None)
    values = tuple(None if text is None else Decimal(text) for text in first)
    corrected = (*values[:5], Decimal("21.6"), *values[6:])
    assert known.numbers_of == {(3, values): 1, (3, corrected): 1}
    assert known.last_numbers == {3: 1}
    assert known.keys == {run.key: 1}
