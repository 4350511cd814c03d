"""The counts that a plan gives the runs of one bench."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.physics.planned import about_half, count_of_run, counts_of_runs, nearest_count, typed_else


def test_the_second_run_alone_has_the_second_count() -> None:
    assert counts_of_runs(100, 50, 4) == (100, 50, 100, 100)
    assert counts_of_runs(100, None, 2) == (100, 100)
    assert counts_of_runs(100, 50, 1) == (100,)
    assert [count_of_run(80, 40, run) for run in (1, 2, 3)] == [80, 40, 80]


def test_half_is_offered_to_the_nearest_five_and_of_few_falls_as_it_is() -> None:
    assert [about_half(count) for count in (200, 100, 92, 70, 42, 36, 7, 1)] == [
        100,
        50,
        45,
        35,
        20,
        18,
        4,
        1,
    ]
    for count in range(20, 500):
        assert 0.44 <= about_half(count) / count <= 0.56


@pytest.mark.parametrize(("made", "meant"), [(100, 100), (52, 50), (70, 50), (72, 100), (200, 100), (9, 50)])
def test_a_count_is_held_against_the_nearer_of_two(made: float, meant: int) -> None:
    """√(50·100) = 70.7 is as far from the one as from the other."""
    assert nearest_count(100, 50, made) == meant
    assert nearest_count(100, None, made) == 100


def test_a_count_that_nobody_made_is_the_first_one() -> None:
    assert [nearest_count(2, 1, made) for made in (-1, 0, 0.9, 1, 2)] == [2, 2, 1, 1, 2]


def test_a_bench_has_its_own_number_then_its_pieces_and_the_classs_only_without_one() -> None:
    """The class's number in a bench's row was put there, not typed."""
    own, of_class, piece = Decimal(97), Decimal(100), Decimal(99)
    assert typed_else(own, of_class, piece) == own
    assert typed_else(of_class, of_class, piece) == typed_else(None, of_class, piece) == piece
    assert [typed_else(typed, of_class, None) for typed in (own, of_class, None)] == [own, of_class, None]
