"""What a bench can have made by the time its runs come in."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

import pytest

from app.practicals.runs.pace import busy_with, shortest_run
from tests.practicals.a_class import NOW

PLANNED = 60
RUN = timedelta(seconds=28)  # 60 × 0.3 s and 10 s: `app.physics.limits`


def came(at: Iterable[timedelta], inversions: int = PLANNED, joined_at: datetime = NOW) -> list[bool]:
    """Which of the runs that came so long after joining came in time."""
    busy_until, found = None, []
    for later in at:
        until = busy_with(
            inversions, planned=PLANNED, joined_at=joined_at, busy_until=busy_until, now=NOW + later
        )
        found.append(until is not None)
        busy_until = until or busy_until
    return found


def minutes(*of: float) -> list[timedelta]:
    return [timedelta(minutes=one) for one in of]


def test_a_run_takes_its_inversions_and_two_readings() -> None:
    assert shortest_run(PLANNED) == RUN


def test_of_many_runs_at_once_the_usual_number_of_a_lesson_comes_in_time() -> None:
    assert came(minutes(*[0.0] * 10)) == [True] * 3 + [False] * 7


def test_a_run_that_came_too_fast_takes_nothing_from_the_next_one() -> None:
    assert came([*minutes(0, 0, 0, 0), RUN, RUN, 2 * RUN]) == [True, True, True, False, True, False, True]


@pytest.mark.parametrize(
    "at",
    [
        pytest.param(minutes(30, 30, 30, 30, 30, 30), id="a phone without network for half an hour"),
        pytest.param(minutes(0, 0, 0, 6, 12), id="a bench that joined late, with three runs on paper"),
        pytest.param(minutes(*[60] * 20), id="as many as a lesson can hold, at its end"),
        pytest.param(minutes(0.5, 1.5, 2.5, 3.5, 4.5, 5.5), id="runs on paper, typed one a minute"),
        pytest.param(minutes(5, 5.1, 10, 10.1, 15, 15.1), id="two tubes and two phones at one bench"),
    ],
)
def test_an_honest_bench_is_never_too_fast(at: list[timedelta]) -> None:
    assert all(came(at))


def test_patience_earns_a_flood_no_more_than_a_lesson_holds() -> None:
    assert sum(came(minutes(*[300] * 200))) == 20
    assert sum(came(minutes(*[300] * 200), inversions=1)) == 20


def test_a_slip_of_the_pen_in_the_count_does_not_hold_a_bench_up() -> None:
    assert all(came(minutes(3, 6, 9), inversions=100 * PLANNED))


def test_a_clock_that_is_put_back_holds_no_bench_up() -> None:
    yesterday = NOW - timedelta(days=1)
    until = busy_with(
        PLANNED, planned=PLANNED, joined_at=NOW, busy_until=NOW + timedelta(hours=2), now=yesterday
    )
    assert until == yesterday - 2 * RUN
