"""Watching the made-up class: what has been played is one number, and nothing else is stored."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from sqlalchemy import func, select

from app.practicals.lesson.plan import plan_practical
from app.practicals.made_up.first.playing import (
    LAST,
    LONGEST_WAIT,
    Answers,
    NothingPlays,
    begin,
    go_to,
    is_new_here,
    play_on,
    set_pace,
    take_away,
    what_plays,
)
from app.practicals.made_up.first.script import LASTS_S, SCRIPT
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.teachers import sign_in
from app.records.base import Base
from app.records.choices import Pace, Role
from app.records.engine import Database
from tests.practicals.a_class import NOW, PASSWORD, a_plan, a_teacher

ANSWERS = Answers(benches=9, material="steel", held_on=date(2031, 3, 20))
SECOND = timedelta(seconds=1)


def _rows(database: Database) -> dict[str, int]:
    with database.reading() as session:
        return {
            table.name: session.scalar(select(func.count()).select_from(table)) or 0
            for table in Base.metadata.sorted_tables
        }


@pytest.fixture
def teacher(database: Database) -> TeacherIdentity:
    return a_teacher(database)


def test_time_goes_by_while_the_page_asks_and_no_moment_is_played_twice(database, teacher) -> None:
    begin(database, actor=teacher, answers=ANSWERS, now=NOW)
    assert play_on(database, actor=teacher, now=NOW + 3 * SECOND).played_s == 3
    assert play_on(database, actor=teacher, now=NOW + 3 * SECOND).played_s == 3, "asked twice"
    assert play_on(database, actor=teacher, now=NOW + 2 * SECOND).played_s == 3, "by a server that is behind"
    assert play_on(database, actor=teacher, now=NOW + 7 * SECOND).place == 1
    assert what_plays(database, actor=teacher) == play_on(database, actor=teacher, now=NOW + 7 * SECOND)


def test_a_page_that_was_closed_finds_it_nearly_where_it_stood(database, teacher) -> None:
    begin(database, actor=teacher, answers=ANSWERS, now=NOW)
    later = play_on(database, actor=teacher, now=NOW + timedelta(hours=2))
    assert later.played_s == LONGEST_WAIT.total_seconds()


def test_it_plays_to_its_end_and_stays_there(database, teacher) -> None:
    now = NOW
    begin(database, actor=teacher, answers=ANSWERS, now=now)
    for _ in range(LASTS_S // 5 + 3):
        now += 5 * SECOND
        playing = play_on(database, actor=teacher, now=now)
    assert (playing.played_s, playing.place, playing.goes_on) == (LASTS_S, LAST, False)


def test_held_it_stands_and_slowly_it_takes_twice_as_long(database, teacher) -> None:
    begin(database, actor=teacher, answers=ANSWERS, now=NOW)
    held = set_pace(database, actor=teacher, pace=Pace.HELD, now=NOW + 2 * SECOND)
    assert (held.played_s, held.goes_on) == (2, False), "what went by until then was played"
    assert play_on(database, actor=teacher, now=NOW + 6 * SECOND).played_s == 2
    set_pace(database, actor=teacher, pace=Pace.SLOW, now=NOW + 6 * SECOND)
    assert play_on(database, actor=teacher, now=NOW + 10 * SECOND).played_s == 4


def test_a_button_pressed_twice_goes_to_its_moment_once(database, teacher) -> None:
    begin(database, actor=teacher, answers=ANSWERS, now=NOW)
    for _ in range(2):
        assert go_to(database, actor=teacher, place=5, now=NOW).played_s == SCRIPT[5].second
    assert go_to(database, actor=teacher, place=4, now=NOW).place == 4, "and back"
    assert go_to(database, actor=teacher, place=99, now=NOW).place == LAST


def test_to_begin_again_takes_the_new_answers(database, teacher) -> None:
    begin(database, actor=teacher, answers=ANSWERS, now=NOW)
    go_to(database, actor=teacher, place=5, now=NOW)
    other = Answers(benches=30, material="tin", held_on=date(2031, 4, 1))
    again = begin(database, actor=teacher, answers=other, now=NOW)
    assert (again.answers, again.place) == (other, 0)
    assert _rows(database)["first_class"] == 1


def test_its_removal_leaves_no_row(database, teacher) -> None:
    before = _rows(database)
    begin(database, actor=teacher, answers=ANSWERS, now=NOW)
    for place in range(LAST + 1):
        go_to(database, actor=teacher, place=place, now=NOW)
    assert _rows(database) == before | {"first_class": 1}, "playing stores nothing but how far it is"
    take_away(database, actor=teacher)
    assert _rows(database) == before
    take_away(database, actor=teacher)
    with pytest.raises(NothingPlays):
        play_on(database, actor=teacher, now=NOW)


def test_each_teacher_watches_an_own_one(database, teacher) -> None:
    colleague = a_teacher(database, "ms-lund")
    begin(database, actor=teacher, answers=ANSWERS, now=NOW)
    assert what_plays(database, actor=colleague) is None
    take_away(database, actor=colleague)
    assert what_plays(database, actor=teacher) is not None


def test_who_signs_in_first_and_has_planned_nothing_is_new_here(database, teacher) -> None:
    technician = a_teacher(database, "mx-odum", role=Role.TECHNICIAN)
    for who in (teacher, technician):
        sign_in(database, login=who.login, password=PASSWORD, address="here", now=NOW)
    assert is_new_here(database, actor=teacher)
    assert not is_new_here(database, actor=technician), "who plans no lesson"
    plan_practical(database, actor=teacher, plan=a_plan(), now=NOW)
    assert not is_new_here(database, actor=teacher)


def test_who_signs_in_a_second_time_is_not_new_here(database, teacher) -> None:
    for _ in range(2):
        sign_in(database, login=teacher.login, password=PASSWORD, address="here", now=NOW)
    assert not is_new_here(database, actor=teacher)
