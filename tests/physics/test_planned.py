"""The counts that a plan gives the runs of one bench."""

from __future__ import annotations

import pytest

from app.physics.planned import about_half, count_of_run, counts_of_runs, nearest_count


def test_the_second_run_alone_has_the_second_count() -> None:
    assert counts_of_runs(100, 50, 4) == (100, 50, 100, 100)
    assert counts_of_runs(100, None, 2) == (100, 100)
    assert counts_of_runs(100, 50, 1) == (100,)
    assert [count_of_run(80, 40, run) for run in (1, 2, 3)] == [80, 40, 80]


def test_half_is_offered_to_the_nearest_five_and_of_few_falls_as_it_is() -> None:
    assert [about_half(count) for count in (200, 100, 92, 70, 36, 7, 1)] == [100, 50, 45, 35, 18, 4, 1]
    for count in range(20, 500):
        assert 0.44 <= about_half(count) / count <= 0.56


@pytest.mark.parametrize(("made", "meant"), [(100, 100), (52, 50), (70, 50), (72, 100), (200, 100), (9, 50)])
def test_a_count_is_held_against_the_nearer_of_two(made: float, meant: int) -> None:
    """√(50·100) = 70.7 is as far from the one as from the other."""
    assert nearest_count(100, 50, made) == meant
    assert nearest_count(100, None, made) == 100
