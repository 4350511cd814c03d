"""The head's page of the log, and what a technician may open."""

from __future__ import annotations

import re

import pytest
from flask import Flask

from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.log import LINES_A_PAGE, add_to_log
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.web.department.people.log import SENTENCES
from tests.practicals.a_class import NOW, AClass, a_teacher
from tests.web.desk.conftest import Reader, a_class, planned  # noqa: F401 - fixtures

LOG = "/department/log"


def test_the_head_reads_who_did_what_and_narrows_it(
    heads_desk: Reader,
    desk: Reader,
    a_class: AClass,  # noqa: F811
) -> None:
    desk.get(f"/desk/{a_class.practical_id}/runs.csv")
    page = heads_desk.text(LOG)
    assert "downloaded: runs as CSV" in page
    assert f'href="/desk/{a_class.practical_id}/">Period 4</a>' in page
    assert "Mrs-Okafor" in page
    only = heads_desk.text(f"{LOG}?kind=downloaded").split("<tbody>")[1]
    assert only.count("<tr ") == 1
    assert "Nothing of this kind" in heads_desk.text(f"{LOG}?kind=restored")
    gone = desk.post(f"/desk/{a_class.practical_id}/delete", sure="yes", title="Period 4")
    assert "“Period 4” is deleted." in desk.text(gone.location)
    assert f"practical {a_class.practical_id}" in heads_desk.text(LOG)
    refused = desk.get(LOG)
    assert refused.status_code == 403
    assert "You cannot open this page with this sign-in." in refused.get_data(as_text=True)


def test_pages_are_turned_and_a_page_that_nobody_offers_is_answered(
    heads_desk: Reader, the_head: TeacherIdentity, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        for _ in range(LINES_A_PAGE):
            add_to_log(session, LogKind.BACKED_UP, the_head, NOW)
    older = heads_desk.text(LOG).split('class="actions"')[1].split('href="')[1].split('"')[0]
    assert "added to the department" in heads_desk.text(older)
    for odd in ("before=x", "before=-1", f"after={2**80}", "kind=nothing"):
        assert heads_desk.get(f"{LOG}?{odd}").status_code == 200


def test_every_kind_has_its_sentence() -> None:
    assert set(SENTENCES) == set(LogKind)


TOLD = {
    (LogKind.SIGNED_IN, "spare code"): "signed in: with a spare code",
    (LogKind.PASSWORD_CHANGED, ""): "changed the own password",
    (LogKind.TEACHER_INVITED, "technician"): "invited someone: technician",
    (LogKind.SWITCHED_OFF, ""): "switched off",
    (LogKind.SWITCHED_ON, ""): "switched on again",
    (LogKind.PASSWORD_RESET, ""): "given a new way in",
    (LogKind.SECOND_STEP_ON, ""): "second step at sign-in set up",
    (LogKind.SECOND_STEP_OFF, ""): "second step at sign-in taken off",
    (LogKind.HANDED_OVER, "until 2031-03-06"): "lesson handed over: until 6 March 2031",
    (LogKind.PRACTICAL_DELETED, ""): "practical deleted",
    (LogKind.DELETED_BY_RULE, ""): "practical deleted by rule",
    (LogKind.IMPORTED, "table"): "brought in: a table of past runs",
    (LogKind.DOWNLOADED, "decisions"): "downloaded: decisions as CSV",
    (LogKind.DOWNLOADED, "xlsx"): "downloaded: runs as a workbook",
    (LogKind.DOWNLOADED, "report"): "downloaded: report as PDF",
    (LogKind.BACKED_UP, ""): "backed up",
    (LogKind.RESTORED, ""): "restored from a backup",
    (LogKind.PIECE_ADDED, "T3"): "added a piece to the kit: T3",
    (LogKind.PIECE_CHANGED, "T3"): "changed a piece of the kit: T3",
    (LogKind.PIECE_RETIRED, "T3"): "retired a piece of the kit: T3",
    (LogKind.PIECE_IN_USE_AGAIN, "T3"): "took a piece of the kit into use again: T3",
    (LogKind.PIECE_DELETED, "T3"): "deleted a piece of the kit: T3",
}


def test_each_line_is_told_as_what_was_done(
    heads_desk: Reader, the_head: TeacherIdentity, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        for kind, detail in TOLD:
            add_to_log(session, kind, the_head, NOW, detail=detail)
    rows = heads_desk.text(LOG).split("<tbody>")[1].split("</tr>")
    read = [" ".join(re.sub(r"<[^>]*>", " ", row).split()) for row in rows[: len(TOLD)]]
    assert [row for row, words in zip(read, reversed(TOLD.values()), strict=True) if words not in row] == []


@pytest.fixture
def technician(application: Flask, sqlite_database: Database) -> Reader:
    """The technician's browser."""
    a_teacher(sqlite_database, "t.lab", role=Role.TECHNICIAN)
    return Reader(application.test_client()).let_in("t.lab")


def test_a_technician_reads_archive_and_report_takes_exports_and_runs_nothing(
    technician: Reader,
    a_class: AClass,  # noqa: F811
) -> None:
    number = a_class.practical_id
    assert technician.get("/desk/").headers["Location"] == "/department/"
    assert f'href="/board/{number}/report">Period 4' in technician.text("/department/")
    report = technician.text(f"/board/{number}/report")
    assert f"/desk/{number}/runs.csv" in report
    assert f'"/desk/{number}/"' not in report
    for address in ("runs.csv", "runs.xlsx"):
        assert technician.get(f"/desk/{number}/{address}").status_code == 200
    assert technician.get(f"/desk/{number}/").status_code == 403
    assert technician.post(f"/desk/{number}/conduct/pause").status_code == 403
    assert technician.get("/desk/password").status_code == 200
    assert technician.get(LOG).status_code == 403


def test_words_that_went_by_rule_are_told_of_the_rule(
    heads_desk: Reader, the_head: TeacherIdentity, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        add_to_log(session, LogKind.WORDS_REMOVED_BY_RULE, None, NOW, department_id=the_head.department_id)
    rows = heads_desk.text(f"{LOG}?kind=words+removed+by+rule").split("<tbody>")[1]
    assert "the rule" in rows
    assert "a command at the server" not in rows


def test_the_log_says_whose_data_were_taken_away(heads_desk: Reader, teacher: TeacherIdentity) -> None:
    heads_desk.get(f"/department/people/{teacher.teacher_id}/kept.json")
    rows = heads_desk.text(f"{LOG}?kind=downloaded").split("<tbody>")[1]
    assert "what is kept about a person" in rows
    assert teacher.name in rows
