"""All that is kept about a person, and what is left once the person is removed."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from app.practicals.people.actors import FORMER_TEACHER
from app.practicals.people.colleagues import PersonRemoved, switch_colleague
from app.practicals.people.departments import HeadsOnly, NoSuchColleague
from app.practicals.people.log import log_page
from app.practicals.people.removal import (
    NotThatPerson,
    OwnPerson,
    kept_about,
    remove_person,
    tables_about_people,
)
from app.practicals.people.teachers import SignInRefused, sign_in
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.history import history
from app.practicals.runs.sending import enter_run
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.models import KnownBrowser, Teacher, TeacherSession
from app.web.department.people.person import WHAT
from tests.practicals.a_class import (
    NOW,
    PASSWORD,
    AClass,
    a_collecting_class,
    a_teacher,
    an_entry,
    new_key,
)
from tests.practicals.seen import practicals_of_department

PLACE = "198.51.100.7"


@pytest.fixture
def one(database: Database) -> AClass:
    """A class whose teacher signed in once and set a run aside."""
    made = a_collecting_class(database)
    sign_in(database, login=made.teacher.login, password=PASSWORD, address=PLACE, now=NOW)
    run = enter_run(database, actor=made.join(3), key=new_key(), entry=an_entry(), now=NOW)
    set_aside(database, actor=made.teacher, run_id=run.run_id, reason="spilt", expected_revision=1, now=NOW)
    return made


@pytest.fixture
def head(database: Database, one: AClass):
    """The head of the same department."""
    return a_teacher(database, "head", is_head=True)


def test_a_teacher_and_the_head_see_all_that_is_kept_and_nothing_that_opens_anything(
    database: Database, one: AClass, head
) -> None:
    for reader in (one.teacher, head):
        kept = kept_about(database, actor=reader, teacher_id=one.teacher.teacher_id)
        assert {"teacher", "teacher_session", "known_browser", "practical", "decision", "log_entry"} <= set(
            kept.tables
        )
        assert kept.tables["decision"][0]["reason"] == "spilt"
        assert all("digest" not in name for rows in kept.tables.values() for name in rows[0])
        assert "password_hash" not in kept.tables["teacher"][0]
    colleague = a_teacher(database, "colleague")
    with pytest.raises(HeadsOnly):
        kept_about(database, actor=colleague, teacher_id=one.teacher.teacher_id)
    elsewhere = a_teacher(database, "elsewhere", department="Another school", is_head=True)
    with pytest.raises(NoSuchColleague):
        kept_about(database, actor=elsewhere, teacher_id=one.teacher.teacher_id)


def test_every_table_that_names_an_account_has_its_words() -> None:
    assert set(WHAT) == {table.name for table, _ in tables_about_people()}


def test_a_removed_person_is_a_former_teacher_everywhere_and_the_record_stays(
    database: Database, one: AClass, head
) -> None:
    who = {"actor": head, "teacher_id": one.teacher.teacher_id, "now": NOW}
    with pytest.raises(NotThatPerson):
        remove_person(database, login="somebody", **who)
    remove_person(database, login=f" {one.teacher.login.upper()} ", **who)
    with database.reading() as session:
        row = session.get_one(Teacher, one.teacher.teacher_id)
        assert (row.name, row.login, row.is_active) == (FORMER_TEACHER, f"former-{row.id}", False)
        mine = one.teacher.teacher_id
        for table in (TeacherSession, KnownBrowser):
            assert session.scalars(select(table).where(table.teacher_id == mine)).all() == []
    [practical] = practicals_of_department(database, actor=head)
    assert practical.teacher_name == FORMER_TEACHER
    lines = history(database, actor=head, practical_id=one.practical_id)
    assert one.teacher.name not in {line.actor for line in lines}
    latest = log_page(database, actor=head).lines[0]
    assert (latest.kind, latest.teacher) == (LogKind.PERSON_REMOVED, FORMER_TEACHER)
    for login in (one.teacher.login, f"former-{one.teacher.teacher_id}"):
        with pytest.raises(SignInRefused):
            sign_in(database, login=login, password=PASSWORD, address=PLACE, now=NOW)
    with pytest.raises(PersonRemoved):
        switch_colleague(database, active=True, **who)
    again = a_teacher(database, one.teacher.login)
    assert again.teacher_id != one.teacher.teacher_id, "the sign-in name is free again"


def test_nobody_removes_themselves_and_only_a_head_removes(database: Database, one: AClass, head) -> None:
    with pytest.raises(OwnPerson):
        remove_person(database, actor=head, teacher_id=head.teacher_id, login=head.login, now=NOW)
    with pytest.raises(HeadsOnly):
        remove_person(database, actor=one.teacher, teacher_id=head.teacher_id, login=head.login, now=NOW)
