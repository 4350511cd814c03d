"""The desk's browsers, the head's and the technician's."""

from __future__ import annotations

import pytest
from flask import Flask

from app.practicals.people.actors import TeacherIdentity
from app.records.choices import Role
from app.records.engine import Database
from tests.practicals.a_class import a_teacher
from tests.web.desk.conftest import Reader, application, desk, nobody, teacher  # noqa: F401 - fixtures


@pytest.fixture
def the_head(sqlite_database: Database) -> TeacherIdentity:
    """The head of the teacher's department."""
    return a_teacher(sqlite_database, "mr-ito", is_head=True)


@pytest.fixture
def heads_desk(application: Flask, the_head: TeacherIdentity) -> Reader:  # noqa: F811 - the fixture
    """The head's browser."""
    return Reader(application.test_client()).sign_in(the_head.login)


@pytest.fixture
def the_technician(sqlite_database: Database) -> TeacherIdentity:
    """The technician of the teacher's department."""
    return a_teacher(sqlite_database, "ms-lund", role=Role.TECHNICIAN)


@pytest.fixture
def technicians_desk(application: Flask, the_technician: TeacherIdentity) -> Reader:  # noqa: F811 - the fixture
    """The technician's browser."""
    return Reader(application.test_client()).sign_in(the_technician.login)
