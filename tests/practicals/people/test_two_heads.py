"""Two heads who do away with something at the same moment: it is done once, and somebody is left to do it."""

from __future__ import annotations

import threading
from collections.abc import Callable

from sqlalchemy import func, select

from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.permission import NoSuchPractical
from app.practicals.people.departments import HeadsOnly
from app.practicals.people.removal import remove_person
from app.records.choices import Role
from app.records.engine import Database
from app.records.errors import Problem
from app.records.models import Deletion, Teacher
from tests.practicals.a_class import NOW, a_collecting_class, a_teacher


def _at_once(*done: Callable[[], None]) -> list[type[Problem] | None]:
    """What each of these ended with, all begun together; None where it was done."""
    start, ends = threading.Barrier(len(done)), list[type[Problem] | None]([None] * len(done))

    def run(place: int) -> None:
        start.wait(timeout=20)
        try:
            done[place]()
        except Problem as problem:
            ends[place] = type(problem)

    threads = [threading.Thread(target=run, args=(place,)) for place in range(len(done))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    return ends


def test_two_heads_delete_a_practical_at_once_and_it_is_deleted_once(database: Database) -> None:
    one = a_collecting_class(database)
    heads = [a_teacher(database, login, is_head=True) for login in ("first", "second")]
    ends = _at_once(
        *(
            lambda head=head: delete_practical(database, actor=head, practical_id=one.practical_id, now=NOW)
            for head in heads
        )
    )
    assert sorted(ends, key=str) == sorted([None, NoSuchPractical], key=str)
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Deletion)) == 1


def test_two_heads_remove_each_other_at_once_and_one_is_left(database: Database) -> None:
    heads = [a_teacher(database, login, is_head=True) for login in ("first", "second")]
    pairs = (heads, heads[::-1])
    ends = _at_once(
        *(
            lambda actor=actor, other=other: remove_person(
                database, actor=actor, teacher_id=other.teacher_id, login=other.login, now=NOW
            )
            for actor, other in pairs
        )
    )
    assert sorted(ends, key=str) == sorted([None, HeadsOnly], key=str)
    with database.reading() as session:
        left = session.scalars(select(Teacher).where(Teacher.role == Role.HEAD, Teacher.is_active)).all()
    assert len(left) == 1
