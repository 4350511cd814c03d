"""The script of the made-up class: a lesson from its first minute to its last, in two minutes."""

from __future__ import annotations

from itertools import pairwise

from app.practicals.board.reveal import BOARD_STEPS
from app.practicals.made_up.first.script import LASTS_S, SCRIPT, Shows, place_at


def test_its_moments_follow_each_other_through_two_minutes_and_a_whole_lesson() -> None:
    assert (SCRIPT[0].second, SCRIPT[-1].second, SCRIPT[-1].minute) == (0, LASTS_S, 50)
    for earlier, later in pairwise(SCRIPT):
        # Two short sentences are read in some six seconds (common practice, no source).
        assert later.second - earlier.second >= 6, later.says
        assert later.minute >= earlier.minute, later.says


def test_the_class_never_goes_back() -> None:
    for earlier, later in pairwise(SCRIPT):
        assert earlier.joined <= later.joined, later.says
        assert earlier.runs <= later.runs, later.says
        assert earlier.decided <= later.decided, later.says


def test_the_wall_goes_through_every_step_and_each_is_what_the_page_shows() -> None:
    shown = [moment.board for moment in SCRIPT if moment.shows is Shows.WALL]
    assert tuple(dict.fromkeys(shown)) == BOARD_STEPS
    assert {moment.shows for moment in SCRIPT} == set(Shows)


def test_a_button_that_is_offered_is_the_one_that_the_sentence_names() -> None:
    for moment in SCRIPT:
        if moment.tap is not None:
            assert moment.would is not None
            assert f"“{moment.tap.template}”" in moment.would.template


def test_a_second_is_in_the_last_moment_that_began() -> None:
    second = SCRIPT[3].second
    assert [place_at(played) for played in (second - 0.001, second, second + 0.001)] == [2, 3, 3]
    assert (place_at(0), place_at(LASTS_S - 0.001), place_at(LASTS_S)) == (0, 15, 16)
