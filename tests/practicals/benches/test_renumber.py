"""A wrong bench number is put right with everything that the bench has sent."""

from __future__ import annotations

import pytest

from app.practicals.benches.rows import BadBenchNumber, NoSuchBench
from app.practicals.benches.watch import renumber_bench
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.permission import NotYourPractical
from app.practicals.runs.history import history
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_teacher, an_entry, new_key
from tests.practicals.seen import bench_details, bench_runs


def renumber(one: AClass, wrong: int, right: int) -> bool:
    return renumber_bench(
        one.database,
        actor=one.teacher,
        practical_id=one.practical_id,
        bench_number=wrong,
        right_number=right,
        now=NOW,
    )


def test_a_bench_takes_its_runs_and_phones_to_the_right_number(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    before = class_snapshot(database, one.practical_id, actor=one.teacher).revision
    assert renumber(one, 3, 8) is False
    assert bench_details(database, actor=bench).number == 8
    assert [run.bench_number for run in bench_runs(database, actor=bench)] == [8]
    snapshot = class_snapshot(database, one.practical_id, actor=one.teacher)
    assert snapshot.revision == before + 1
    assert snapshot.result is not None
    assert snapshot.result.runs[0].readings.bench == "8"
    told = history(database, actor=one.teacher, practical_id=one.practical_id)
    assert [line.reason for line in told if line.kind == "bench renumbered"] == ["3 → 8"]
    assert one.join(3).bench_number == 3, "the number is free again"


def test_two_benches_that_took_each_others_number_change_over(database: Database) -> None:
    one = a_collecting_class(database)
    first, second, _ = one.join(3), one.join(8), one.join(99)
    enter_run(database, actor=first, key=new_key(), entry=an_entry(mass_g="300"), now=NOW)
    enter_run(database, actor=second, key=new_key(), entry=an_entry(mass_g="800"), now=NOW)
    assert renumber(one, 3, 8) is True
    assert [bench_details(database, actor=bench).number for bench in (first, second)] == [8, 3]
    assert bench_runs(database, actor=first)[0].entry.shot_mass.raw == "300 g"
    seen = class_snapshot(database, one.practical_id, actor=one.teacher).benches
    assert [bench.number for bench in seen] == [3, 8, 99]


def test_what_cannot_be_renumbered_is_refused(database: Database) -> None:
    one = a_collecting_class(database)
    one.join(3)
    with pytest.raises(NoSuchBench):
        renumber(one, 4, 5)
    for number in (0, 100):
        with pytest.raises(BadBenchNumber):
            renumber(one, 3, number)
    colleague = AClass(database, a_teacher(database, "colleague"), one.practical)
    with pytest.raises(NotYourPractical):
        renumber(colleague, 3, 4)
    assert renumber(one, 3, 3) is False
