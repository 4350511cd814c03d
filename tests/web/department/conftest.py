"""The desk's browsers, the head's and the technician's."""

from __future__ import annotations

import pytest
from flask import Flask

from app.practicals.lesson.states import finish_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import Role
from app.records.engine import Database
from tests.practicals.a_class import NOW, AClass, a_teacher
from tests.practicals.a_full_class import a_full_class
from tests.web.department.out.exporting import another_class
from tests.web.desk.conftest import Reader, application, desk, nobody, teacher  # noqa: F401 - fixtures


@pytest.fixture
def the_head(sqlite_database: Database) -> TeacherIdentity:
    """The head of the teacher's department."""
    return a_teacher(sqlite_database, "mr-ito", is_head=True)


@pytest.fixture
def heads_desk(application: Flask, the_head: TeacherIdentity) -> Reader:  # noqa: F811 - the fixture
    """The head's browser."""
    return Reader(application.test_client()).let_in(the_head.login)


@pytest.fixture
def full(sqlite_database: Database) -> AClass:
    """The teacher's full class, finished and with its result kept, and another class of the department."""
    one = a_full_class(sqlite_database)
    finish_practical(sqlite_database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    another_class(sqlite_database, one.teacher, "Period 5")
    return one


@pytest.fixture
def reader(application: Flask, full: AClass) -> Reader:  # noqa: F811
    """The teacher's browser; the result was looked at, and so kept."""
    reader = Reader(application.test_client()).let_in(full.teacher.login)
    reader.text(f"/desk/{full.practical_id}/")
    return reader


@pytest.fixture
def the_technician(sqlite_database: Database) -> TeacherIdentity:
    """The technician of the teacher's department."""
    return a_teacher(sqlite_database, "ms-lund", role=Role.TECHNICIAN)


@pytest.fixture
def technicians_desk(application: Flask, the_technician: TeacherIdentity) -> Reader:  # noqa: F811 - the fixture
    """The technician's browser."""
    return Reader(application.test_client()).let_in(the_technician.login)
