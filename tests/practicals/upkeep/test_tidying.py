"""Looking after the installation: what goes with time, and who may sign in."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from sqlalchemy import func, select

from app.practicals.lesson.states import finish_practical
from app.practicals.people.colleagues import NoSuchTeacher, set_password, switch_colleague
from app.practicals.people.sessions import teacher_for_token
from app.practicals.people.teachers import SignInRefused, TeacherProblem, sign_in
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import correct_run, enter_run
from app.practicals.upkeep.tidying import tidy
from app.records.base import Base
from app.records.engine import Database
from app.records.models import FailedAttempt, KnownBrowser, TeacherSession
from tests.practicals.a_class import NOW, PASSWORD, a_collecting_class, a_teacher, an_entry, new_key
from tests.practicals.seen import count, practicals_of_department

HERE = "198.51.100.7"
NEW = "another three words"


def _tidy(database: Database, days_later: int) -> int:
    now = NOW + timedelta(days=days_later)
    return tidy(database, now=now, today=now.date())


def test_what_is_past_its_time_goes_and_the_rest_stays(database: Database) -> None:
    of_sign_ins = (TeacherSession, KnownBrowser, FailedAttempt)
    one = a_collecting_class(database, delete_after=date(2031, 3, 20))
    signed = sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)
    with pytest.raises(SignInRefused):
        sign_in(database, login="mrs-okafor", password="wrong", address=HERE, now=NOW)
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert _tidy(database, 0) == 0
    assert [count(database, table) for table in of_sign_ins] == [1, 1, 1]
    assert teacher_for_token(database, token=signed.token, now=NOW) is not None
    assert _tidy(database, 91) == 1
    assert [count(database, table) for table in of_sign_ins] == [0, 0, 0]
    assert practicals_of_department(database, actor=one.teacher) == []


def test_a_forgotten_password_is_replaced_and_every_session_ends(database: Database) -> None:
    a_teacher(database)
    signed = sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)
    with pytest.raises(TeacherProblem):
        set_password(database, login="mrs-okafor", password="short", now=NOW)
    assert teacher_for_token(database, token=signed.token, now=NOW)
    assert set_password(database, login=" Mrs-Okafor ", password=NEW, now=NOW) == "Mrs-Okafor"
    assert teacher_for_token(database, token=signed.token, now=NOW) is None
    assert sign_in(database, login="mrs-okafor", password=NEW, address=HERE, now=NOW)


def test_who_has_left_cannot_sign_in_and_may_come_back(database: Database) -> None:
    teacher, head = a_teacher(database), a_teacher(database, "head", is_head=True)
    signed = sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)
    switch_colleague(database, actor=head, teacher_id=teacher.teacher_id, active=False, now=NOW)
    assert teacher_for_token(database, token=signed.token, now=NOW) is None
    with pytest.raises(SignInRefused, match="do not match"):
        sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)
    switch_colleague(database, actor=head, teacher_id=teacher.teacher_id, active=True, now=NOW)
    assert sign_in(database, login="mrs-okafor", password=PASSWORD, address=HERE, now=NOW)


def test_a_name_that_nobody_has_is_said_to_be(database: Database) -> None:
    with pytest.raises(NoSuchTeacher, match="nobody"):
        set_password(database, login="nobody", password=NEW, now=NOW)


def test_nothing_of_a_practical_is_left_after_its_day(database: Database) -> None:
    one = a_collecting_class(database, delete_after=date(2031, 3, 20), title="A class that goes")
    bench = one.join(3)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(mass_g="340.125"), now=NOW)
    changed = an_entry(mass_g="340.250")
    correct_run(
        database, actor=bench, run_id=run.run_id, key=new_key(), entry=changed, reason="misread", now=NOW
    )
    set_aside(
        database, actor=one.teacher, run_id=run.run_id, reason="spilt its shot", expected_revision=2, now=NOW
    )
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert _tidy(database, 15) == 1
    stays = {
        "department",
        "teacher",
        "teacher_session",
        "failed_attempt",
        "access_mark",
        "deletion",
        "log_entry",
    }
    with database.reading() as session:
        for name, table in Base.metadata.tables.items():
            if name not in stays:
                assert session.scalar(select(func.count()).select_from(table)) == 0, name
    if database.path is not None:  # SQLite: not in the file either, as text that a tool could find
        database.close()
        left = database.path.read_bytes()
        for typed in (b"340.125", b"340.250", b"misread", b"spilt its shot"):
            assert typed not in left
