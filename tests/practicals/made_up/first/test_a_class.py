"""The class behind the script has one run that needs the teacher, and nothing else, whatever was answered."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.practicals.made_up.first.a_class import BEGINS, class_at, question_on_phone, runs_by_bench
from app.practicals.made_up.first.playing import FEWEST, MOST, Answers
from app.practicals.made_up.first.script import ASKED_BENCH, HELPED_BENCH, ODD_BENCH, ODD_RUN, SCRIPT, Shows

PLACE = {moment.shows: place for place, moment in reversed(list(enumerate(SCRIPT)))}
"""The first place that shows each thing."""
WHATEVER = pytest.mark.parametrize(
    ("benches", "material"), [(FEWEST, "aluminium"), (12, "lead"), (MOST, "steel")]
)
"""Some of what may be answered; all ten metals with all sizes were looked at once by hand."""


def _needs_deciding(benches: int, material: str, place: int) -> set[tuple[str, str]]:
    result = class_at(benches, material, place).result
    assert result is not None
    return {
        (run.readings.bench, run.readings.run)
        for run in result.runs
        if run.flags and not run.readings.set_aside
    }


@WHATEVER
def test_one_run_stands_apart_until_it_is_set_aside(benches: int, material: str) -> None:
    assert _needs_deciding(benches, material, PLACE[Shows.CASE]) == {(str(ODD_BENCH), str(ODD_RUN))}
    assert _needs_deciding(benches, material, len(SCRIPT) - 1) == set()


@WHATEVER
def test_every_step_of_the_wall_has_something_to_show(benches: int, material: str) -> None:
    result = class_at(benches, material, len(SCRIPT) - 1).result
    assert result is not None
    assert result.class_value is not None
    assert result.class_value.interval_95 is not None
    assert result.separated.identifiable


def test_a_phone_asks_about_ten_times_the_mass_and_offers_the_right_one() -> None:
    asked = question_on_phone(12, "lead")
    assert asked.sentence.values == {"read": "5.2 kg", "meant": "520 g"}
    assert asked.proposal is not None


def test_at_the_moment_of_that_question_the_asked_bench_has_sent_nothing_yet() -> None:
    for benches in range(FEWEST, MOST + 1):
        sent = runs_by_bench(benches, SCRIPT[PLACE[Shows.QUESTION]].runs)
        assert sent[ASKED_BENCH] == 0
        assert sum(sent.values()) >= benches - 2, "nearly everybody else has"


def test_runs_come_in_round_by_round() -> None:
    assert set(runs_by_bench(7, 2.0).values()) == {2}
    assert sorted(runs_by_bench(7, 1.5).values()) == [1, 1, 1, 1, 2, 2, 2]


def test_benches_join_in_their_order_and_send_at_the_minute_of_their_moment() -> None:
    joined = [[bench.number for bench in class_at(7, "lead", place).benches] for place in range(3)]
    assert joined == [[], [1, 2, 3], [1, 2, 3, 4, 5, 6, 7]]
    for place in (len(SCRIPT) - 1, PLACE[Shows.CASE]):
        shown, now = class_at(7, "lead", place), BEGINS + timedelta(minutes=SCRIPT[place].minute)
        assert {run.first_sent_at for run in shown.runs} == {now}
        assert {bench.last_seen_at for bench in shown.benches} == {now}


def test_every_bench_has_the_runs_that_it_is_said_to_have_sent() -> None:
    for place in range(len(SCRIPT)):
        shown = class_at(FEWEST, "aluminium", place)
        assert [len(shown.runs_of(bench.number)) for bench in shown.benches] == [
            bench.runs for bench in shown.benches
        ], SCRIPT[place].says


def test_one_bench_asks_for_help_and_only_at_its_moment() -> None:
    asks = [
        (place, bench.number)
        for place in range(len(SCRIPT))
        for bench in class_at(FEWEST, "aluminium", place).benches
        if bench.asked_for_help_at is not None
    ]
    assert asks == [(PLACE[Shows.NEEDS], HELPED_BENCH)]


def test_everything_is_marked_as_simulated() -> None:
    last = class_at(FEWEST, "aluminium", len(SCRIPT) - 1)
    assert last.rehearsal
    assert all(run.simulated for run in last.runs)
    assert all(bench.simulated for bench in last.benches)


@pytest.mark.parametrize(("answered", "played"), [(1, 6), (6, 6), (7, 7), (16, 16), (17, 16), (99, 16)])
def test_a_class_that_a_small_screen_can_show_is_played(answered: int, played: int) -> None:
    assert Answers(answered, "lead", date(2032, 4, 22)).played_benches == played
