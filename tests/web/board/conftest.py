"""A class on the board, its teacher's browser, and a phone's."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app import create_app
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.teachers import sign_in
from app.records.engine import Database
from app.settings import Settings
from tests.figures.classes import a_class
from tests.practicals.a_class import NOW, PASSWORD, AClass, a_plan, a_teacher
from tests.web.board.reported import send

# Digits that turn up nowhere else in the class, so that finding them means that the value got out.
ACCEPTED = "137.931"


@dataclass
class Wall:
    """The application with one class in it; `teacher` is the signed-in teacher's client."""

    application: Flask
    group: AClass
    teacher: FlaskClient

    @property
    def address(self) -> str:
        """The board's address."""
        return f"/board/{self.group.practical_id}"

    def client(self, login: str) -> FlaskClient:
        """The client of a teacher who signs in."""
        signed = sign_in(
            self.group.database, login=login, password=PASSWORD, address="", now=datetime.now(UTC)
        )
        client = self.application.test_client()
        client.set_cookie("plumbfall-teacher", signed.token)
        return client

    def go(self, step: str) -> None:
        """Take the board to a step."""
        assert self.teacher.post(f"{self.address}/step", data={"to": step}).status_code == 303


@pytest.fixture(scope="session")
def six_benches(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, AClass]:
    """A file with six benches with two runs each, copied for each test instead of being sent again."""
    path = tmp_path_factory.mktemp("six") / "plumbfall.db"
    path.write_bytes(sqlite_template.read_bytes())
    database = Database(f"sqlite:///{path}")
    group = _six_benches(database)
    database.close()
    return path, group


@pytest.fixture
def wall(sqlite_database: Database, six_benches: tuple[Path, AClass]) -> Iterator[Wall]:
    """Six benches with two runs each."""
    path, group = six_benches
    assert sqlite_database.path is not None
    sqlite_database.path.write_bytes(path.read_bytes())
    with a_wall(sqlite_database, replace(group, database=sqlite_database)) as shown:
        yield shown


def _six_benches(database: Database) -> AClass:
    teacher = a_teacher(database)
    plan = a_plan(planned_benches=8, accepted_J_per_kg_K=Decimal(ACCEPTED))
    planned = plan_practical(database, actor=teacher, plan=plan, now=NOW)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=NOW)
    group = AClass(database, teacher, opened)
    send(group, a_class(6))
    return group


@contextmanager
def a_wall(database: Database, group: AClass | None = None) -> Iterator[Wall]:
    """The same in any database, for tests that share one."""
    path = database.path
    assert path is not None
    settings = Settings.from_environment(
        {"PLUMBFALL_DATA": str(path.parent), "DATABASE_URL": f"sqlite:///{path}"}
    )
    application = create_app(settings)
    application.config["WTF_CSRF_ENABLED"] = False
    group = group or _six_benches(database)
    shown = Wall(application, group, application.test_client())
    shown.teacher = shown.client(group.teacher.login)
    yield shown
    application.extensions["plumbfall_database"].close()
