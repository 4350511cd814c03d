"""A bench's place on the lesson page: how far its run is, which runs are listed, whether one is flagged."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import cast

from app.analysis.results import RunResult
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.runs.reading import RunDetails
from app.records.choices import BenchProgress
from app.web.desk.lesson.view import BenchSlot, HeldBack, RunRow, held_back_by_bench
from tests.web.desk.lesson.test_attention import BENCH

SLOT = BenchSlot(3, BenchPlanLine(3), BENCH, ())
NOBODY = replace(SLOT, bench=None)


@dataclass(frozen=True)
class _Run:
    number: int
    waits: bool = False
    set_aside: bool = False
    bench_number: int = 3


@dataclass(frozen=True)
class _Worked:
    flags: tuple[str, ...]


def run(number: int, *, waits: bool = False, set_aside: bool = False, bench: int = 3) -> RunDetails:
    return cast(RunDetails, _Run(number, waits, set_aside, bench))


def row(number: int, *flags: str, set_aside: bool = False) -> RunRow:
    return RunRow(run(number, set_aside=set_aside), cast(RunResult, _Worked(flags)))


def test_a_run_is_from_joined_to_sent_and_nowhere_without_a_phone() -> None:
    steps = [replace(SLOT, bench=replace(BENCH, progress=progress)).step for progress in BenchProgress]
    assert steps == [0, 1, 2, 3, 4]
    assert NOBODY.step == -1


def test_runs_that_were_typed_at_the_desk_are_in_unless_a_phone_has_begun_one() -> None:
    found = {}
    for progress in BenchProgress:
        slot = replace(SLOT, rows=(row(1),), bench=replace(BENCH, progress=progress))
        found[progress] = (slot.runs_are_in, slot.step)
    assert found == {
        BenchProgress.JOINED: (True, 4),
        BenchProgress.START_READ: (False, 1),
        BenchProgress.COUNTING: (False, 2),
        BenchProgress.END_READ: (False, 3),
        BenchProgress.SENT: (False, 4),
    }
    typed = replace(NOBODY, rows=(row(1),))
    assert (typed.runs_are_in, typed.step) == (True, 4)
    assert not NOBODY.runs_are_in


def test_of_the_runs_that_came_too_fast_five_are_listed_and_all_are_counted() -> None:
    waiting = tuple(run(number, waits=True) for number in (2, 4, 5, 6, 8, 9))
    held_back = HeldBack(3, waiting, (run(3, set_aside=True),))
    slot = replace(SLOT, rows=(row(1), row(7)), held_back=held_back)
    assert [one.number for one in held_back.runs] == [2, 3, 4, 5, 6, 8, 9]
    assert [one.run.number for one in slot.all_rows] == list(range(1, 10))
    assert [one.run.number for one in slot.listed_rows] == [1, 2, 3, 4, 5, 6, 7]
    assert slot.rows_left_out == 2
    assert replace(slot, held_back=None).rows_left_out == 0


def test_runs_held_back_are_told_apart_by_bench_and_by_what_was_decided() -> None:
    runs = (run(1, waits=True, bench=2), run(2, bench=2), run(1, bench=5))
    assert held_back_by_bench(runs) == (HeldBack(2, runs[:1], runs[1:2]), HeldBack(5, (), runs[2:]))


def test_a_bench_is_flagged_by_a_run_that_counts() -> None:
    assert not replace(SLOT, rows=(row(1),)).flagged
    assert not replace(SLOT, rows=(row(1, "unlike", set_aside=True), row(2))).flagged
    assert replace(SLOT, rows=(row(1), row(2, "unlike"))).flagged
