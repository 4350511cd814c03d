"""The rows of the grid by themselves: which benches have one, how many there are, what a form brings back."""

from __future__ import annotations

from app.practicals.runs.reading import StoredRuns
from app.web.desk.runs.grid_form import MOST_ROWS, Grid, OfClass, grid_from, new_grid
from tests.practicals.a_class import a_plan, new_key

NUMBERS = {2: 3, 9: 1}
"""The last run of two benches, one of them beyond the plan."""


def of_class(**plan: object) -> OfClass:
    """A class of three benches, in which two have runs and another one beyond the plan has joined."""
    stored = StoredRuns(keys={}, last_numbers=NUMBERS, numbers_of={})
    return OfClass(a_plan(planned_benches=3, **plan), stored, {2: None, 7: None})


def test_there_is_a_row_for_each_bench_of_the_plan_and_for_those_that_came_beyond() -> None:
    grid = new_grid(of_class())
    assert [row.typed["bench_number"] for row in grid.rows] == ["1", "2", "3", "7", "9"]
    assert [row.place for row in grid.rows] == [1, 2, 3, 4, 5]
    assert len({row.key for row in grid.rows}) == 5


def test_further_rows_come_behind_the_last_place_until_the_page_is_full() -> None:
    grid = Grid([])
    grid.add([{"bench_number": "4"}] * (MOST_ROWS - 2))
    grid.add_rows((1, 2, 3))
    assert [row.typed["bench_number"] for row in grid.rows[-3:]] == ["4", "1", "2"]
    assert [row.place for row in grid.rows] == list(range(1, MOST_ROWS + 1))


def test_a_form_brings_its_rows_back_by_their_places_and_tells_how_many_there_were() -> None:
    key = new_key()
    form = {
        "shot_mass_12": "340",
        "key_12": key,
        "grey_12": "a|b",
        "key_3": "none",
        "bench_number_3": "x" * 99999,
    }
    found = grid_from(form | {"shot_mass_x": "1", "colour_4": "red"}, ["asked"])
    first, second = found.rows
    assert (first.place, second.place, found.sent, found.kept) == (3, 12, 2, frozenset({"asked"}))
    assert (second.key, second.shown, second.typed["shot_mass"]) == (key, "a|b", "340")
    assert first.key != "none"
    assert len(first.key) == len(key)
    assert first.shown is None
    assert 0 < len(first.typed["bench_number"]) < 99999
    flood = grid_from({f"key_{place}": key for place in range(MOST_ROWS + 1)}, [])
    assert (len(flood.rows), flood.sent) == (MOST_ROWS, MOST_ROWS + 1)
