"""A signed-in teacher's browser without a browser: the real application, forms with their tokens."""

from __future__ import annotations

import html
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from app import create_app
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.teachers import sign_in
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.settings import Settings
from tests.practicals.a_class import NOW, PASSWORD, AClass, a_plan, a_teacher, an_entry, new_key
from tests.web.form_token import form_token

STATUSES = frozenset({200, 302, 303, 308, 400, 401, 403, 404, 409, 413, 422, 429, 503})


def as_pages_answer(answer: TestResponse) -> TestResponse:
    """The answer, whose status is one of those that browsers get here while nothing breaks in the program.

    304 comes only to who has the page already, 405 only with the methods that there are (RFC 9110, 15.4.5 and
    15.5.6).
    """
    fits = answer.status_code in STATUSES
    fits = fits or (answer.status_code == 304 and "If-None-Match" in answer.request.headers)
    fits = fits or (answer.status_code == 405 and bool(answer.headers.get("Allow")))
    assert fits, (answer.request.path, answer.status_code)
    return answer


@dataclass
class Reader:
    """Someone at a browser."""

    client: FlaskClient

    def get(self, address: str, **headers: str) -> TestResponse:
        """Open a page."""
        return as_pages_answer(self.client.get(address, headers=headers))

    def text(self, address: str) -> str:
        """A page's text, which must be there."""
        answer = self.get(address)
        assert answer.status_code == 200, answer.status_code
        return html.unescape(answer.get_data(as_text=True))

    def post(self, address: str, **form: str) -> TestResponse:
        """Send a form with its token."""
        data = {"csrf_token": form_token(self.client), **form}
        return as_pages_answer(self.client.post(address, data=data))

    def sign_in(self, login: str) -> Reader:
        """As this teacher from now on."""
        answer = self.post("/sign-in", login=login, password=PASSWORD)
        assert answer.status_code == 302, answer.get_data(as_text=True)
        return self

    def let_in(self, login: str) -> Reader:
        """The same without the page for it, in a browser that keeps no other cookie."""
        database, now = self.client.application.extensions["plumbfall_database"], datetime.now(UTC)
        signed = sign_in(database, login=login, password=PASSWORD, address="", now=now)
        self.client.set_cookie("plumbfall-teacher", signed.token)
        return self


@pytest.fixture
def application(sqlite_database: Database, tmp_path: Path) -> Iterator[Flask]:
    """The application on a fresh database, reached by phones at an address of its own."""
    environ = {
        "PLUMBFALL_DATA": str(tmp_path),
        "DATABASE_URL": str(sqlite_database.url),
        "PLUMBFALL_BASE_ADDRESS": "http://phones.school.example:8480",
    }
    made = create_app(Settings.from_environment(environ))
    yield made
    made.extensions["plumbfall_database"].close()


@pytest.fixture
def nobody(application: Flask) -> Reader:
    """A browser that has not signed in."""
    return Reader(application.test_client())


@pytest.fixture
def teacher(sqlite_database: Database) -> TeacherIdentity:
    """The teacher of the tests."""
    return a_teacher(sqlite_database)


@pytest.fixture
def desk(application: Flask, teacher: TeacherIdentity) -> Reader:
    """That teacher's browser."""
    return Reader(application.test_client()).let_in(teacher.login)


@pytest.fixture
def planned(sqlite_database: Database, teacher: TeacherIdentity) -> AClass:
    """A practical that is only planned."""
    made = plan_practical(sqlite_database, actor=teacher, plan=a_plan(), now=NOW)
    return AClass(sqlite_database, teacher, made)


@pytest.fixture
def a_class(planned: AClass) -> AClass:
    """The same, collecting."""
    opened = open_practical(
        planned.database, actor=planned.teacher, practical_id=planned.practical_id, now=NOW
    )
    return AClass(planned.database, planned.teacher, opened)


@pytest.fixture
def class_with_a_slip(a_class: AClass) -> AClass:
    """Seven benches with two runs each; bench 4 swapped start and end in its first run."""
    for number in range(1, 8):
        bench = a_class.join(number)
        ends = ("21.4", "21.5") if number % 2 else ("21.5", "21.3")
        for place, end in enumerate(ends):
            entry = an_entry(start="19.2", end=end)
            if number == 4 and place == 0:
                entry = an_entry(start=end, end="19.2")
            enter_run(a_class.database, actor=bench, key=new_key(), entry=entry, now=NOW)
    return a_class
