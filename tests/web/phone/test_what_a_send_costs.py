"""A send is as much work for a bench with many runs as for one with few, and says the same."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import event

from app.records.models import RunVersion
from app.web.phone.how import MOST_BARS
from tests.web.phone.phone import KEY, Phone, on_both_databases

MANY = 2 * MOST_BARS + 2


@contextmanager
def versions_loaded() -> Iterator[list[int]]:
    """The numbers of the versions that are read from the records meanwhile."""
    loaded: list[int] = []

    def note(version: RunVersion, _context: object) -> None:
        loaded.append(version.id)

    event.listen(RunVersion, "load", note)
    try:
        yield loaded
    finally:
        event.remove(RunVersion, "load", note)


def key(number: int) -> str:
    return f"{number:032x}"


@pytest.fixture
def many_runs(phone: Phone, row: dict[str, object]) -> list[dict[str, object]]:
    """What a bench sent that has many runs."""
    sent = [{**row, "key": key(number)} for number in range(1, MANY + 1)]
    for one in sent:
        assert phone.ask("/bench/send", one).status_code == 200
    return sent


def test_a_send_loads_the_runs_that_it_shows_however_many_the_bench_has(
    phone: Phone, row: dict[str, object], many_runs: list[dict[str, object]]
) -> None:
    with versions_loaded() as loaded:
        assert phone.ask("/bench/send", {**row, "key": KEY}).get_json()["saved"]["run"] == MANY + 1
    assert 0 < len(set(loaded)) <= MOST_BARS


@on_both_databases
def test_a_run_sent_again_much_later_is_shown_among_the_last_ones(
    phone: Phone, many_runs: list[dict[str, object]]
) -> None:
    again = phone.ask("/bench/send", many_runs[0]).get_json()
    assert again["saved"]["run"] == 1
    assert again["how"].count("<li") == MOST_BARS
    assert ">Run 1<" in again["how"]
    assert f">Run {MANY}<" in again["how"]
    assert f">Run {MANY - MOST_BARS + 1}<" not in again["how"], "it makes place for the first"
