"""Invitations, new passwords by a link and the first head, as browsers meet them."""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask

from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import digest
from app.practicals.people.ways_in import INVITATION_LASTS, invite
from app.records.choices import Role
from app.records.engine import Database
from app.records.models import LogEntry, Teacher, WayIn
from app.web.department.people.sign_in import FIRST_CODE
from tests.practicals.a_class import PASSWORD, a_teacher
from tests.web.desk.conftest import Reader
from tests.web.form_token import form_token

PAGE = "/department/teachers"
NEW = "lantern gravel otter"
COME_IN = {"name": "Mrs New", "login": "mrs-new", "password": NEW, "again": NEW}
CODE = "K7EEHPN"
FIRST = {**COME_IN, "code": CODE.lower(), "department": "Physics, Tarnbeck School"}


def _link(page: str) -> str:
    """The way to the page behind a link, as the head is shown it."""
    address = re.search(r'id="link">http://phones\.school\.example:8480(/way-in/[^<]+)<', page)
    assert address, page
    return address.group(1)


def _said(page: str, field: str) -> str:
    return html.unescape(page.split(f'id="{field}-problem">')[1].split("</p>")[0])


def test_an_invited_technician_comes_in_with_a_password_that_the_head_never_sees(
    heads_desk: Reader, nobody: Reader, sqlite_database: Database
) -> None:
    made = heads_desk.post(f"{PAGE}/invite", name="Mrs New", role="technician")
    assert made.status_code == 200
    link = _link(made.get_data(as_text=True))
    assert "Mrs New" in heads_desk.text(PAGE).split("Open invitations")[1]
    assert link not in heads_desk.text(PAGE), "it is shown once"
    page = nobody.text(link)
    assert "Physics invites you as technician" in page
    assert 'value="Mrs New"' in page
    answer = nobody.post(link, **COME_IN)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/sign-in")
    assert "Your password is set. Sign in as mrs-new." in nobody.text("/sign-in")
    assert nobody.post("/sign-in", login="mrs-new", password=NEW).status_code == 302
    with sqlite_database.reading() as session:
        role = session.query(Teacher.role).filter(Teacher.login == "mrs-new").scalar()
        assert role is Role.TECHNICIAN
        kept = " ".join(f"{row.detail} {row.kind}" for row in session.query(LogEntry))
    assert link.split("/")[-1] not in kept
    again = nobody.get(link)
    assert again.status_code == 409
    assert "was used already" in again.get_data(as_text=True)


def test_what_is_wrong_is_said_beside_its_field_and_what_was_typed_is_kept(
    heads_desk: Reader, nobody: Reader, teacher: TeacherIdentity
) -> None:
    link = _link(heads_desk.post(f"{PAGE}/invite", name="Mrs New", role="teacher").get_data(as_text=True))
    wrong = [
        ({"login": teacher.login}, "login", "already a teacher with that sign-in name"),
        ({"login": "two words"}, "login", "no spaces"),
        ({"name": " "}, "name", "Give the teacher's name"),
        ({"password": "short", "again": "short"}, "password", "three unrelated words"),
        ({"password": "1234567890", "again": "1234567890"}, "password", "first that somebody would try"),
        ({"password": "mrs-new 2031", "again": "mrs-new 2031"}, "password", "which others know"),
        ({"again": NEW + "s"}, "again", "typed differently the second time"),
    ]
    for change, field, said in wrong:
        form = COME_IN | change
        answer = nobody.post(link, **form)
        page = answer.get_data(as_text=True)
        assert answer.status_code == 422, change
        assert said in _said(page, field)
        assert f'value="{form["login"]}"' in page
        assert NEW not in page
    assert nobody.post(link, **COME_IN).status_code == 303


def test_a_link_that_ran_out_was_taken_back_or_mistyped_says_so(
    heads_desk: Reader, nobody: Reader, the_head: TeacherIdentity, sqlite_database: Database
) -> None:
    long_ago = datetime.now(UTC) - INVITATION_LASTS - timedelta(minutes=1)
    late = invite(sqlite_database, actor=the_head, name="Late", role=Role.TEACHER, now=long_ago)
    back = _link(heads_desk.post(f"{PAGE}/invite", name="Back", role="head").get_data(as_text=True))
    with sqlite_database.reading() as session:
        number = session.query(WayIn.id).filter(WayIn.name == "Back").scalar()
    assert heads_desk.post(f"{PAGE}/invitations/{number}/take-back").status_code == 303
    page = heads_desk.text(PAGE)
    assert "The invitation of Back is taken back." in page
    assert "Open invitations" not in page
    for address, status, said in (
        (f"/way-in/{late.token}", 409, "has run out"),
        (back, 409, "taken back"),
        ("/way-in/x", 404, "leads nowhere. Check that it was copied whole"),
    ):
        for answer in (nobody.get(address), nobody.post(address, **COME_IN)):
            assert answer.status_code == status
            assert said in answer.get_data(as_text=True)


def test_a_new_password_by_link_signs_the_teacher_out_and_nobody_else_learns_it(
    heads_desk: Reader, desk: Reader, nobody: Reader, teacher: TeacherIdentity, the_head: TeacherIdentity
) -> None:
    made = heads_desk.post(f"{PAGE}/{teacher.teacher_id}/password-link").get_data(as_text=True)
    link = _link(made)
    assert desk.get("/desk/").status_code == 200, "nothing happened yet"
    assert "who signs in as mrs-okafor" in nobody.text(link)
    assert nobody.post(link, password=NEW, again=NEW).status_code == 303
    assert desk.get("/desk/").status_code == 302
    assert desk.post("/sign-in", login=teacher.login, password=PASSWORD).status_code == 422
    assert desk.post("/sign-in", login=teacher.login, password=NEW).status_code == 302
    assert heads_desk.post(f"{PAGE}/{the_head.teacher_id}/password-link").status_code == 409


def test_an_invitation_without_a_name_or_a_role_makes_no_link(
    heads_desk: Reader, sqlite_database: Database
) -> None:
    nameless = heads_desk.post(f"{PAGE}/invite", name=" ", role="technician")
    page = nameless.get_data(as_text=True)
    assert nameless.status_code == 422
    assert "Give the name" in _said(page, "name")
    assert '<option value="technician" selected>' in page.split("Invite someone")[1]
    assert heads_desk.post(f"{PAGE}/invite", name="New", role="caretaker").status_code == 422
    with sqlite_database.reading() as session:
        assert session.query(WayIn).count() == 0


@pytest.fixture
def printed(application: Flask) -> None:
    """The server printed its code."""
    application.extensions[FIRST_CODE] = digest(CODE)


@pytest.mark.usefixtures("printed")
def test_the_first_head_is_made_in_the_browser_with_the_code_of_the_console(
    nobody: Reader, sqlite_database: Database
) -> None:
    assert nobody.client.get("/sign-in").headers["Location"] == "/first-head"
    assert "Make the first head" in nobody.text("/first-head")
    form = {"csrf_token": form_token(nobody.client, "/first-head"), **FIRST}
    wrong = nobody.client.post("/first-head", data=form | {"code": "WRONG77"})
    assert wrong.status_code == 422
    assert "not the code" in _said(wrong.get_data(as_text=True), "code")
    guessable = nobody.client.post("/first-head", data=form | {"password": "Tarnbeck1", "again": "Tarnbeck1"})
    assert guessable.status_code == 422
    unlike = nobody.client.post("/first-head", data=form | {"again": f"{NEW}s"})
    assert unlike.status_code == 422
    answer = nobody.client.post("/first-head", data=form)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/sign-in")
    assert nobody.post("/sign-in", login="mrs-new", password=NEW).status_code == 302
    assert nobody.get(PAGE).status_code == 200
    for again in (nobody.client.get("/first-head"), nobody.client.post("/first-head", data=form)):
        assert again.status_code in (302, 409)
    with sqlite_database.reading() as session:
        assert session.query(Teacher).count() == 1
        assert CODE not in str([vars(row) for row in session.query(LogEntry)])


@pytest.mark.usefixtures("printed")
def test_guessing_the_code_of_the_console_is_slowed_for_everybody(nobody: Reader) -> None:
    form = {"csrf_token": form_token(nobody.client, "/first-head"), **FIRST}
    for n in range(5):
        assert nobody.client.post("/first-head", data=form | {"code": f"WRONG7{n}"}).status_code == 422
    slowed = nobody.client.post("/first-head", data=form)
    assert (slowed.status_code, slowed.headers["Retry-After"] in ("2", "3")) == (429, True)


def test_without_a_printed_code_or_with_somebody_there_no_first_head_is_made(
    application: Flask, nobody: Reader, sqlite_database: Database
) -> None:
    assert nobody.client.get("/first-head").headers["Location"] == "/sign-in"
    assert nobody.post("/first-head", **FIRST | {"code": ""}).status_code == 422
    application.extensions[FIRST_CODE] = digest(CODE)
    a_teacher(sqlite_database)
    assert nobody.post("/first-head", **FIRST).status_code == 409
    assert nobody.client.get("/first-head").headers["Location"] == "/sign-in"
    with sqlite_database.reading() as session:
        assert session.query(Teacher).count() == 1
