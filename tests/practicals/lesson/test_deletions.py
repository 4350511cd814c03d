"""What is deleted, when, and the log of it that stays."""

from __future__ import annotations

import threading
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import text

from app.practicals.lesson.deletions import Deleted, delete_practical, deletions, purge_expired
from app.practicals.lesson.permission import locked_practical
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import finish_practical, open_practical, pause_practical, resume_practical
from app.practicals.made_up.rehearsal import rehearse
from app.practicals.people.departments import HeadsOnly
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.errors import ConstraintBroken
from app.records.models import Deletion
from tests.practicals.a_class import NOW, a_collecting_class, a_plan, a_teacher, an_entry, new_key
from tests.practicals.seen import practicals_of_department

DAY = date(2031, 3, 20)
AFTER = DAY + timedelta(days=1)


def _titles(database: Database, actor) -> list[str]:
    return sorted(one.title for one in practicals_of_department(database, actor=actor))


def test_a_finished_practical_goes_after_its_day_and_not_a_day_before(database: Database) -> None:
    one = a_collecting_class(database, delete_after=DAY)
    plan_practical(database, actor=one.teacher, plan=a_plan(title="Planned", delete_after=DAY), now=NOW)
    plan_practical(database, actor=one.teacher, plan=a_plan(title="Kept"), now=NOW)
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert purge_expired(database, today=DAY, now=NOW) == 0
    assert purge_expired(database, today=AFTER, now=NOW) == 2
    assert _titles(database, one.teacher) == ["Kept"]


def test_an_open_practical_stays_until_it_is_finished(database: Database) -> None:
    one = a_collecting_class(database, delete_after=DAY)
    step: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id, "now": NOW}
    assert purge_expired(database, today=AFTER, now=NOW) == 0
    pause_practical(database, **step)
    assert purge_expired(database, today=AFTER, now=NOW) == 0
    resume_practical(database, **step)
    assert enter_run(database, actor=one.join(3), key=new_key(), entry=an_entry(), now=NOW).number == 1
    finish_practical(database, **step)
    assert purge_expired(database, today=AFTER, now=NOW) == 1


def test_who_deleted_what_stays_in_the_heads_log(database: Database) -> None:
    one = a_collecting_class(database, title="Period 4")
    head = a_teacher(database, "head", is_head=True)
    enter_run(database, actor=one.join(3), key=new_key(), entry=an_entry(), now=NOW)
    delete_practical(database, actor=head, practical_id=one.practical_id, now=NOW)
    plan = a_plan(title="Period 5", delete_after=DAY)
    second = plan_practical(database, actor=one.teacher, plan=plan, now=NOW)
    rehearse(database, actor=one.teacher, practical_id=second.practical_id, seed=1, now=NOW)
    later = NOW + timedelta(days=15)
    purge_expired(database, today=AFTER, now=later)
    assert deletions(database, actor=head) == [
        Deleted("Period 5", plan.held_on, "Mrs-Okafor", 0, None, DAY, later),
        Deleted("Period 4", plan.held_on, "Mrs-Okafor", 1, "Head", None, NOW),
    ]


def test_the_log_is_the_heads_and_of_one_department(database: Database) -> None:
    one = a_collecting_class(database)
    delete_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    with pytest.raises(HeadsOnly):
        deletions(database, actor=one.teacher)
    assert deletions(database, actor=a_teacher(database, "stranger", "Elsewhere", is_head=True)) == []


def test_a_line_of_the_log_cannot_be_changed(database: Database) -> None:
    one = a_collecting_class(database)
    delete_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    with pytest.raises(ConstraintBroken, match="kept as it was"), database.writing() as session:
        session.execute(text("UPDATE deletion SET title = 'another'"))
    with database.reading() as session:
        assert session.query(Deletion).one().title == "Period 4"


def test_servers_that_delete_at_the_same_moment_log_each_practical_once(database: Database) -> None:
    teacher = a_teacher(database)
    for number in range(12):
        plan = a_plan(title=f"Class {number}", delete_after=DAY)
        plan_practical(database, actor=teacher, plan=plan, now=NOW)
    gone: list[int] = []
    failures: list[Exception] = []
    together = threading.Barrier(4)

    def server() -> None:
        own = Database(database.url.render_as_string(hide_password=False))
        try:
            together.wait(timeout=10)
            gone.append(purge_expired(own, today=AFTER, now=NOW))
        except Exception as error:
            failures.append(error)
        finally:
            own.close()

    servers = [threading.Thread(target=server) for _ in range(4)]
    for one in servers:
        one.start()
    for one in servers:
        one.join()
    assert failures == []
    assert sum(gone) == 12
    with database.reading() as session:
        assert session.query(Deletion).count() == 12


def test_a_practical_that_somebody_works_on_is_passed_over_and_holds_nothing_up(
    postgresql_database: Database,
) -> None:
    database = postgresql_database
    teacher = a_teacher(database)
    busy, _other = (
        plan_practical(database, actor=teacher, plan=a_plan(title=title, delete_after=DAY), now=NOW)
        for title in ("Busy", "Other")
    )
    with database.writing() as session:
        locked_practical(session, busy.practical_id)
        assert purge_expired(database, today=AFTER, now=NOW) == 1
    assert _titles(database, teacher) == ["Busy"]
    assert open_practical(database, actor=teacher, practical_id=busy.practical_id, now=NOW).join_code
