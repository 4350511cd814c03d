"""The head of department switches teachers off and on, and gives roles."""

from __future__ import annotations

import threading
from contextlib import suppress
from typing import Any

import pytest

from app.practicals.people import departments
from app.practicals.people.colleagues import colleagues, set_colleague_role, set_role, switch_colleague
from app.practicals.people.departments import HeadsOnly, LastHead, NoSuchColleague, SwitchedOff
from app.practicals.people.sessions import teacher_for_token
from app.practicals.people.teachers import SignInRefused, sign_in
from app.records.choices import Role
from app.records.engine import Database
from app.records.models import Teacher
from tests.practicals.a_class import NOW, PASSWORD, a_teacher


def _token(database: Database, login: str, password: str = PASSWORD) -> str:
    return sign_in(database, login=login, password=password, address="here", now=NOW).token


def test_switching_off_ends_every_sign_in_at_once_and_switching_on_revives_none(database: Database) -> None:
    head, teacher = a_teacher(database, "head", is_head=True), a_teacher(database)
    first, second = _token(database, teacher.login), _token(database, teacher.login)
    switch: dict[str, Any] = {"actor": head, "teacher_id": teacher.teacher_id, "now": NOW}
    assert not switch_colleague(database, active=False, **switch).is_active
    for token in (first, second):
        assert teacher_for_token(database, token=token, now=NOW) is None
    with pytest.raises(SignInRefused):
        _token(database, teacher.login)
    assert switch_colleague(database, active=True, **switch).is_active
    assert teacher_for_token(database, token=first, now=NOW) is None, "an old sign-in stays ended"
    assert teacher_for_token(database, token=_token(database, teacher.login), now=NOW) == teacher


def test_the_last_head_who_can_sign_in_stays(database: Database) -> None:
    head, other = a_teacher(database, "head", is_head=True), a_teacher(database, "other", is_head=True)
    a_teacher(database, "elsewhere", department="Chemistry", is_head=True)
    switch_colleague(database, actor=head, teacher_id=other.teacher_id, active=False, now=NOW)
    with pytest.raises(LastHead):
        switch_colleague(database, actor=head, teacher_id=head.teacher_id, active=False, now=NOW)
    assert [one.is_active for one in colleagues(database, actor=head)] == [True, False]


def _is_head(database: Database, token: str) -> bool:
    teacher = teacher_for_token(database, token=token, now=NOW)
    assert teacher is not None
    return teacher.is_head


def test_head_is_given_and_taken_and_the_last_one_keeps_it(database: Database) -> None:
    head, other = a_teacher(database, "head", is_head=True), a_teacher(database, "other")
    change: dict[str, Any] = {"actor": head, "teacher_id": other.teacher_id, "now": NOW}
    with pytest.raises(LastHead):
        set_colleague_role(database, actor=head, teacher_id=head.teacher_id, role=Role.TEACHER, now=NOW)
    assert set_colleague_role(database, role=Role.HEAD, **change).role is Role.HEAD
    assert set_colleague_role(database, role=Role.HEAD, **change).role is Role.HEAD, "twice is once"
    token = _token(database, "other")
    assert _is_head(database, token)
    assert set_colleague_role(database, role=Role.TEACHER, **change).role is Role.TEACHER
    assert not _is_head(database, token), "at once, signed in as before"
    set_colleague_role(database, role=Role.HEAD, **change)
    set_colleague_role(database, actor=head, teacher_id=head.teacher_id, role=Role.TEACHER, now=NOW)
    with pytest.raises(HeadsOnly):
        set_colleague_role(database, role=Role.TEACHER, **change)


def test_a_head_who_is_switched_off_does_not_count_and_nobody_switched_off_becomes_head(
    database: Database,
) -> None:
    head, off = a_teacher(database, "head", is_head=True), a_teacher(database, "off", is_head=True)
    switch_colleague(database, actor=head, teacher_id=off.teacher_id, active=False, now=NOW)
    with pytest.raises(LastHead):
        set_colleague_role(database, actor=head, teacher_id=head.teacher_id, role=Role.TEACHER, now=NOW)
    with pytest.raises(SwitchedOff, match=r"cannot be head\. Switch the teacher on again first"):
        set_colleague_role(database, actor=head, teacher_id=off.teacher_id, role=Role.HEAD, now=NOW)
    back = set_colleague_role(database, actor=head, teacher_id=off.teacher_id, role=Role.TECHNICIAN, now=NOW)
    assert (back.role, back.is_active) == (Role.TECHNICIAN, False)


@pytest.mark.parametrize("by", ["command", "page"])
def test_of_two_heads_who_are_taken_back_at_once_one_stays(
    database: Database, monkeypatch: pytest.MonkeyPatch, by: str
) -> None:
    heads = [a_teacher(database, login, is_head=True) for login in ("one", "two")]
    together, refused = threading.Barrier(2), []
    inside, asked = threading.Barrier(2), departments.refuse_if_last_head

    def after_both_were_let_in(*about):
        asked(*about)
        with suppress(threading.BrokenBarrierError):
            inside.wait(timeout=0.5)  # taking turns, nobody else ever comes

    monkeypatch.setattr(departments, "refuse_if_last_head", after_both_were_let_in)

    def step_back(place: int) -> None:
        together.wait()
        try:
            if by == "command":
                set_role(database, login=heads[place].login, role=Role.TEACHER, now=NOW)
            else:
                set_colleague_role(
                    database,
                    actor=heads[place],
                    teacher_id=heads[place].teacher_id,
                    role=Role.TEACHER,
                    now=NOW,
                )
        except LastHead as problem:
            refused.append(problem)

    threads = [threading.Thread(target=step_back, args=(place,)) for place in (0, 1)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with database.reading() as session:
        left = session.query(Teacher).filter(Teacher.role == Role.HEAD).count()
    assert (left, len(refused)) == (1, 1)


def test_two_heads_who_switch_each_other_off_at_once_leave_one(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    heads = [a_teacher(database, login, is_head=True) for login in ("one", "two")]
    together, refused = threading.Barrier(2), []
    inside, found = threading.Barrier(2), departments.colleague_row

    def after_both_were_let_in(*asked):
        with suppress(threading.BrokenBarrierError):
            inside.wait(timeout=0.5)  # taking turns, nobody else ever comes
        return found(*asked)

    monkeypatch.setattr(departments, "colleague_row", after_both_were_let_in)

    def switch_off_the_other(place: int) -> None:
        together.wait()
        try:
            switch_colleague(
                database,
                actor=heads[place],
                teacher_id=heads[1 - place].teacher_id,
                active=False,
                now=NOW,
            )
        except HeadsOnly as problem:
            refused.append(problem)

    threads = [threading.Thread(target=switch_off_the_other, args=(place,)) for place in (0, 1)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    signed = []
    for head in heads:
        try:
            signed.append(_token(database, head.login))
        except SignInRefused:
            continue
    assert (len(signed), len(refused)) == (1, 1)


def test_nobody_but_the_departments_own_head_does_any_of_it(database: Database) -> None:
    head, teacher = a_teacher(database, "head", is_head=True), a_teacher(database)
    stranger = a_teacher(database, "stranger", department="Chemistry", is_head=True)
    about: dict[str, Any] = {"teacher_id": head.teacher_id, "now": NOW}
    for actor, error in ((teacher, HeadsOnly), (stranger, NoSuchColleague)):
        with pytest.raises(error):
            switch_colleague(database, actor=actor, active=False, **about)
        with pytest.raises(error):
            set_colleague_role(database, actor=actor, teacher_id=head.teacher_id, role=Role.TEACHER, now=NOW)
    with pytest.raises(HeadsOnly):
        colleagues(database, actor=teacher)
    assert _token(database, "head")
