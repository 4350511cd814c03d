"""One's own account: sessions in plain words, the second step, the password."""

from __future__ import annotations

import html
import io
import re
from datetime import UTC, datetime, timedelta

import pyotp
import pytest
from flask import Flask

from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.sessions import Browser
from app.records.engine import Database
from app.records.models import SecondStep, TeacherSession
from app.server_log import logging_to
from app.web.department.people.browsers import browser_of
from tests.practicals.a_class import PASSWORD
from tests.web.desk.conftest import Reader

ACCOUNT, STEP = "/desk/account", "/desk/account/second-step"
ON_A_PHONE = "Mozilla/5.0 (Android 14; Mobile; rv:128.0) Gecko/128.0 Firefox/128.0"


@pytest.mark.parametrize(
    ("sent", "name", "system"),
    [
        (ON_A_PHONE, "Firefox", "Android"),
        ("Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 Chrome/126.0 Safari/537.36", "Chrome", "Linux"),
        ("Mozilla/5.0 (Windows NT 10.0) AppleWebKit Chrome/126.0 Safari/537 Edg/126.0", "Edge", "Windows"),
        ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15) Version/17 Safari/605", "Safari", "macOS"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) CriOS/126 Safari/604", "Chrome", "iPhone"),
        ("curl/8.5", "", ""),
        ("<script>" * 100, "", ""),
    ],
)
def test_a_browser_is_told_by_its_name_and_system(sent: str, name: str, system: str) -> None:
    # Made after the forms that MDN, "User-Agent header", lists.
    assert browser_of(sent) == Browser(name, system)


def _phone(application: Flask, login: str) -> Reader:
    """The same teacher, signed in on a phone."""
    client = application.test_client()
    client.environ_base["HTTP_USER_AGENT"] = ON_A_PHONE
    return Reader(client).sign_in(login)


def test_a_teacher_sees_the_own_sessions_and_ends_one_or_all_others(
    application: Flask, desk: Reader, teacher: TeacherIdentity
) -> None:
    phone = _phone(application, teacher.login)
    page = desk.text(ACCOUNT)
    assert "when nothing was done in it for 4 hours." in page
    rows = page.split("<tbody>")[1].split("</tbody>")[0].split("<tr>")[1:]
    assert ["this one" in row for row in rows] == [True, False]
    assert "Firefox on Android" in rows[1]
    end = re.search(r'action="([^"]+/end)"', rows[1])
    assert end
    assert desk.post(end.group(1)).status_code == 303
    assert "That browser is signed out." in desk.text(ACCOUNT)
    assert phone.get("/desk/").status_code == 302
    others = [_phone(application, teacher.login) for _ in range(2)]
    assert desk.post("/desk/account/sessions/end-others").status_code == 303
    assert [other.get("/desk/").status_code for other in others] == [302, 302]
    assert "Every other browser is signed out." in desk.text("/desk/")


def test_a_page_that_follows_by_itself_keeps_no_session_alive(
    desk: Reader, sqlite_database: Database
) -> None:
    long_ago = datetime.now(UTC) - timedelta(hours=3)

    def last_seen() -> datetime:
        with sqlite_database.reading() as session:
            return session.query(TeacherSession.last_seen_at).scalar()

    def put_back(to: datetime) -> None:
        with sqlite_database.writing() as session:
            session.query(TeacherSession).update({"last_seen_at": to})

    put_back(long_ago)
    assert desk.get("/desk/", **{"X-Plumbfall": "script"}).status_code == 200
    assert last_seen() == long_ago
    assert desk.get("/desk/").status_code == 200
    assert last_seen() > long_ago
    put_back(datetime.now(UTC) - timedelta(hours=4, seconds=1))
    assert desk.get("/desk/").status_code == 302


def _codes(desk: Reader, database: Database) -> tuple[pyotp.TOTP, list[str]]:
    """Set the second step up on the page: what the phone holds, and the spare codes."""
    assert desk.post(STEP, action="begin", password=PASSWORD).status_code == 303
    page = desk.text(STEP)
    with database.reading() as session:
        secret = session.query(SecondStep.secret).scalar()
    assert f"type this into the app: {secret}" in page
    assert "data:image/svg+xml" in page
    phone = pyotp.TOTP(secret)
    wrong = desk.post(STEP, action="confirm", code="12345")
    assert wrong.status_code == 422
    assert "not right" in wrong.get_data(as_text=True).split('id="code-problem">')[1]
    shown = desk.post(STEP, action="confirm", code=phone.at(datetime.now(UTC) - timedelta(seconds=30)))
    assert shown.status_code == 200
    return phone, re.findall(r"<li><code>([^<]+)</code>", shown.get_data(as_text=True))


def test_the_second_step_is_set_up_asked_for_and_taken_off_by_the_head(
    desk: Reader, nobody: Reader, heads_desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    phone, spare = _codes(desk, sqlite_database)
    assert len(set(spare)) == 10
    answer = nobody.post("/sign-in", login=teacher.login, password=PASSWORD, then="/department/")
    assert answer.headers["Location"] == "/sign-in/code?then=/department/"
    assert nobody.get("/desk/").status_code == 302, "the password alone opens nothing"
    assert "Six digits" in nobody.text("/sign-in/code")
    log = io.StringIO()
    with logging_to(log):
        wrong = nobody.post("/sign-in/code", code="000000", then="/department/")
    assert wrong.status_code == 422
    assert "sign-in failed" in log.getvalue()
    assert 'value="/department/"' in wrong.get_data(as_text=True)
    right = nobody.post("/sign-in/code", code=phone.now(), then="/department/")
    assert (right.status_code, right.headers["Location"]) == (302, "/department/")
    assert nobody.get("/desk/").status_code == 200
    nobody.post("/sign-out")
    nobody.post("/sign-in", login=teacher.login, password=PASSWORD)
    assert nobody.post("/sign-in/code", code=spare[0], then="//evil.example").headers["Location"] == "/desk/"
    assert "Spare codes left: 9" in nobody.text(STEP)
    page = heads_desk.text("/department/teachers")
    assert page.count("Take the second step off") == 1
    off = f"/department/teachers/{teacher.teacher_id}/second-step/take-off"
    assert heads_desk.post(off).status_code == 303
    assert f"{teacher.name} signs in with the password alone." in heads_desk.text("/department/teachers")
    nobody.post("/sign-out")
    signed = nobody.post("/sign-in", login=teacher.login, password=PASSWORD)
    assert signed.headers["Location"] == "/desk/"


@pytest.mark.usefixtures("teacher")
def test_a_code_without_a_password_before_it_is_sent_back_to_the_sign_in(nobody: Reader) -> None:
    answer = nobody.post("/sign-in/code", code="123456")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/sign-in")
    assert "took too long" in nobody.text("/sign-in")


def test_the_second_step_is_changed_with_the_password_alone(desk: Reader, sqlite_database: Database) -> None:
    for action in ("begin", "new-codes", "take-off"):
        answer = desk.post(STEP, action=action, password="wrong")
        said = html.unescape(answer.get_data(as_text=True)).split('id="password-problem">')[1]
        assert answer.status_code == 422
        assert said.startswith("The current password is not right")
    assert desk.post(STEP, action="", password=PASSWORD).status_code == 422
    with sqlite_database.reading() as session:
        assert session.query(SecondStep).count() == 0
    _codes(desk, sqlite_database)
    assert desk.post(STEP, action="take-off", password=PASSWORD).location == STEP
    assert "The second step is taken off. The password alone signs you in." in desk.text(STEP)
