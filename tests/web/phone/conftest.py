"""An application with a class that is collecting, and phones for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.records.engine import Database
from app.settings import Settings
from tests.practicals.a_class import AClass, a_plan, a_teacher
from tests.web.phone.phone import KEY, READINGS, Phone


@pytest.fixture
def database(request: pytest.FixtureRequest) -> Database:
    """SQLite; where a test is marked with `on_both_databases`, PostgreSQL in its turn."""
    chosen: Database = request.getfixturevalue(f"{getattr(request, 'param', 'sqlite')}_database")
    return chosen


@pytest.fixture
def application(database: Database, tmp_path: Path) -> Iterator[Flask]:
    address = database.url.render_as_string(hide_password=False)
    settings = Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path), "DATABASE_URL": address})
    application = create_app(settings)
    yield application
    application.extensions["plumbfall_database"].close()


@pytest.fixture
def a_class(database: Database) -> AClass:
    now = datetime.now(UTC)
    teacher = a_teacher(database)
    planned = plan_practical(database, actor=teacher, plan=a_plan(), now=now)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=now)
    return AClass(database, teacher, opened)


@pytest.fixture
def code(a_class: AClass) -> str:
    return a_class.practical.join_code or ""


@pytest.fixture
def new_phone(application: Flask) -> Callable[[], Phone]:
    return lambda: Phone(application.test_client())


@pytest.fixture
def phone(new_phone: Callable[[], Phone], code: str) -> Phone:
    """A phone at bench 7 that has read the safety step."""
    joined = new_phone()
    joined.join(code, 7)
    return joined


@pytest.fixture
def row(phone: Phone) -> dict[str, object]:
    """A run as the phone's script sends it."""
    phone.open("/bench/run/all")
    bench = phone.form()["bench"]
    return {**READINGS, "key": KEY, "bench": bench, "client_time": "2031-03-06T10:15:00.000Z", "waiting": "2"}
