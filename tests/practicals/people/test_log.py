"""The department's log: what is noted, who reads it, and that nothing takes it away."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import text

from app.practicals.lesson.deletions import delete_practical
from app.practicals.people.actors import FORMER_TEACHER
from app.practicals.people.colleagues import set_colleague_role, switch_colleague
from app.practicals.people.departments import HeadsOnly
from app.practicals.people.log import (
    FAILURES_AN_HOUR,
    LINES_A_PAGE,
    LogPage,
    add_to_log,
    log_page,
    note_download,
    note_failed_sign_in,
)
from app.practicals.people.sessions import sign_out_everywhere
from app.practicals.people.teachers import SignInRefused, sign_in
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.errors import ConstraintBroken
from app.records.models import LogEntry
from tests.practicals.a_class import NOW, PASSWORD, a_collecting_class, a_teacher


def _told(page: LogPage) -> list[tuple[LogKind, str | None, str | None, str]]:
    return [(line.kind, line.actor, line.teacher, line.detail) for line in page.lines]


def test_what_heads_and_teachers_do_stands_in_the_log(database: Database) -> None:
    head, other = a_teacher(database, "head", is_head=True), a_teacher(database, "other")
    about: dict[str, Any] = {"actor": head, "teacher_id": other.teacher_id, "now": NOW}
    set_colleague_role(database, role=Role.TECHNICIAN, **about)
    set_colleague_role(database, role=Role.TECHNICIAN, **about)
    switch_colleague(database, active=False, **about)
    switch_colleague(database, active=True, **about)
    with pytest.raises(SignInRefused):
        sign_in(database, login="other", password="wrong " + PASSWORD, address="here", now=NOW)
    with pytest.raises(SignInRefused):
        sign_in(database, login="nobody", password=PASSWORD, address="here", now=NOW)
    sign_out_everywhere(
        database,
        teacher=sign_in(database, login="other", password=PASSWORD, address="here", now=NOW).teacher,
        now=NOW,
    )
    assert _told(log_page(database, actor=head))[:-2] == [
        (LogKind.SIGNED_OUT_EVERYWHERE, "Other", "Other", ""),
        (LogKind.SIGNED_IN, "Other", "Other", ""),
        (LogKind.SIGN_IN_FAILED, None, "Other", ""),
        (LogKind.SWITCHED_ON, "Head", "Other", ""),
        (LogKind.SWITCHED_OFF, "Head", "Other", ""),
        (LogKind.ROLE_CHANGED, "Head", "Other", "technician"),
    ]


def test_a_deletion_takes_no_line_along_and_an_account_that_is_gone_is_a_former_teacher(
    database: Database,
) -> None:
    one = a_collecting_class(database)
    head = a_teacher(database, "head", is_head=True)
    note_download(database, actor=one.teacher, what="csv", now=NOW, practical_id=one.practical_id)
    assert log_page(database, actor=head).lines[0].practical == "Period 4"
    delete_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    with database.writing() as session:
        add_to_log(session, LogKind.PERSON_REMOVED, head, NOW, teacher_id=4711)
    removed, deleted, taken = log_page(database, actor=head).lines[:3]
    assert (removed.teacher, deleted.kind) == (FORMER_TEACHER, LogKind.PRACTICAL_DELETED)
    assert (taken.detail, taken.practical, taken.practical_id) == ("csv", None, one.practical_id)


@pytest.mark.parametrize("change", ["UPDATE log_entry SET detail = 'x'", "DELETE FROM log_entry"])
def test_a_line_can_be_neither_changed_nor_deleted(database: Database, change: str) -> None:
    a_teacher(database)
    with pytest.raises(ConstraintBroken) as broken, database.writing() as session:
        session.execute(text(change))
    assert broken.value.constraint == "ck_log_entry_written_once"


def test_heads_read_their_own_department_and_what_is_of_the_whole_installation(database: Database) -> None:
    head, teacher = a_teacher(database, "head", is_head=True), a_teacher(database)
    stranger = a_teacher(database, "stranger", department="Chemistry", is_head=True)
    with database.writing() as session:
        add_to_log(session, LogKind.BACKED_UP, None, NOW)
    with pytest.raises(HeadsOnly):
        log_page(database, actor=teacher)
    assert _told(log_page(database, actor=stranger)) == [
        (LogKind.BACKED_UP, None, None, ""),
        (LogKind.TEACHER_ADDED, None, "Stranger", "head"),
    ]
    assert [line.teacher for line in log_page(database, actor=head).lines] == [None, "Mrs-Okafor", "Head"]
    only = log_page(database, actor=head, kind=LogKind.BACKED_UP)
    assert [line.kind for line in only.lines] == [LogKind.BACKED_UP]


def test_pages_are_turned_forth_and_back_without_losing_a_line(database: Database) -> None:
    head = a_teacher(database, "head", is_head=True)
    with database.writing() as session:
        for number in range(2 * LINES_A_PAGE):
            add_to_log(session, LogKind.DOWNLOADED, head, NOW, detail=str(number))
    first = log_page(database, actor=head)
    second = log_page(database, actor=head, before=first.older)
    last = log_page(database, actor=head, before=second.older)
    pages = [first, second, last]
    numbers = [line.entry_id for page in pages for line in page.lines]
    assert numbers == sorted(numbers, reverse=True)
    assert len(set(numbers)) == 2 * LINES_A_PAGE + 1
    assert [(page.older is None, page.newer is None) for page in pages] == [
        (False, True),
        (False, False),
        (True, False),
    ]
    back = log_page(database, actor=head, after=last.newer)
    assert back.lines == second.lines
    assert log_page(database, actor=head, after=back.newer) == first


def test_a_flood_of_wrong_passwords_fills_no_log(database: Database) -> None:
    teacher = a_teacher(database)
    with database.writing() as session:
        for _ in range(FAILURES_AN_HOUR + 5):
            note_failed_sign_in(session, teacher, NOW)
        for later in (timedelta(minutes=59, seconds=59), timedelta(hours=1)):
            note_failed_sign_in(session, teacher, NOW + later)
    with database.reading() as session:
        failed = session.query(LogEntry).filter(LogEntry.kind == LogKind.SIGN_IN_FAILED).count()
    assert failed == FAILURES_AN_HOUR + 1, "the next one an hour later"
