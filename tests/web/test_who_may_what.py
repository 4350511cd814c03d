"""Every role against every route and the records of another department: refused, and nothing changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from app.practicals.lesson.covers import give_cover
from app.practicals.people.colleagues import colleagues
from app.practicals.people.ways_in import invite
from app.practicals.runs.sending import enter_run
from app.records.base import Base
from app.records.choices import Role
from app.records.engine import Database
from app.records.models import WayIn
from tests.practicals.a_class import NOW, AClass, a_teacher, an_entry, new_key
from tests.practicals.a_kit import a_kit
from tests.web.desk.conftest import (  # noqa: F401 - fixtures
    Reader,
    a_class,
    application,
    nobody,
    planned,
    teacher,
)
from tests.web.desk.test_who_may import full_form
from tests.web.form_token import form_token
from tests.web.who_may import MAY, ROUTES, For, declared

CHANGES_ANYWAY = {"teacher_session", "failed_attempt", "log_entry", "known_browser"}
"""Tables in which a request may leave a trace that is refused."""
OWN_ACTION = {"desk.decide_run": "set-aside"}  # all other routes with an `action` are the planner's
LEADS_ON = {
    ("desk.home", "technician"),
    ("department.latest_year", "technician"),
    ("department.latest_year", "colleague"),
}
"""Pages that only say where to go."""
DRAWN = {
    "department.chart_drawing",
    "department.export_progress",
    "department.glance",
    "department.labels_pdf",
    "board.figure",
    "board.report_figure",
    "board.report_file",
    "desk.cards_pdf",
    "desk.first_figure",
}
"""Slow ones and one that needs an export under way: the tests of their pages open them."""


@dataclass(frozen=True)
class Route:
    """One way to send one route, with an address that exists."""

    endpoint: str
    method: str
    address: str
    audience: For

    def __str__(self) -> str:
        return f"{self.method} {self.address} ({self.endpoint}, for {self.audience})"


def _rules(application: Flask) -> Iterator[tuple[Any, str]]:  # noqa: F811 - the fixture
    for rule in application.url_map.iter_rules():
        for method in sorted(set(rule.methods or ()) & {"GET", "POST", "PUT", "PATCH", "DELETE"}):
            yield rule, method


@dataclass
class School:
    """A department with everybody in it, a practical with a run, and another department."""

    application: Flask
    a_class: AClass
    values: dict[str, object]

    def routes(self) -> list[Route]:
        """All of them, with numbers that are there."""
        found = []
        with self.application.test_request_context():
            for rule, method in _rules(self.application):
                values = {name: self.values.get(name, 1) for name in rule.arguments}
                built = rule.build(values, append_unknown=False)
                assert built is not None
                audience = declared(rule.endpoint, method)
                if audience is not None:  # else the test of the table says so
                    found.append(Route(rule.endpoint, method, built[1], audience))
        return found

    def records(self) -> dict[str, list[Any]]:
        """All rows, but for those that a refused request may leave."""
        with self.a_class.database.reading() as session:
            return {
                name: [tuple(row) for row in session.execute(select(table))]
                for name, table in Base.metadata.tables.items()
                if name not in CHANGES_ANYWAY
            }


@pytest.fixture
def school(
    application: Flask,  # noqa: F811
    a_class: AClass,  # noqa: F811
    sqlite_database: Database,
) -> School:
    """Everybody can sign in; the practical is covered from now on."""
    now = datetime.now(UTC)
    bench = a_class.join(1)
    run = enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    head = a_teacher(sqlite_database, "head", is_head=True)
    a_teacher(sqlite_database, "colleague")
    a_teacher(sqlite_database, "technician", role=Role.TECHNICIAN)
    a_teacher(sqlite_database, "stranger", department="Chemistry", is_head=True)
    cover = a_teacher(sqlite_database, "cover")
    ends = {"last_day": date(2099, 1, 1), "ends_at": now + timedelta(days=1)}
    to = {"practical_id": a_class.practical_id, "to": cover.teacher_id, "now": now}
    give_cover(sqlite_database, actor=a_class.teacher, **ends, **to)  # type: ignore[arg-type]
    invite(sqlite_database, actor=head, name="Mrs New", role=Role.HEAD, now=now)
    with sqlite_database.reading() as session:
        way_in_id = session.query(WayIn.id).scalar()
    piece = a_kit(sqlite_database, head)["T1"]
    values: dict[str, object] = {
        "practical_id": a_class.practical_id,
        "run_id": run.run_id,
        "teacher_id": colleagues(sqlite_database, actor=head)[0].teacher_id,  # the colleague's
        "quantity": "class-value",
        "year": NOW.year,
        "kind": "tube",
        "piece_id": piece.piece_id,
        "way_in_id": way_in_id,
        "step": "pause",
        "filename": "x",
    }
    return School(application, a_class, values)


def _browser(school: School, who: str) -> Reader:
    reader = Reader(school.application.test_client())
    if who == "phone":
        assert reader.post(f"/j/{school.a_class.practical.join_code}", number="2").status_code == 302
    elif who != "nobody":
        reader.sign_in("mrs-okafor" if who == "owner" else who)
    return reader


def test_every_route_says_whom_it_is_for_and_every_word_of_the_table_is_a_route(
    application: Flask,  # noqa: F811
) -> None:
    routes = {(rule.endpoint, method) for rule, method in _rules(application)}
    silent = sorted(f"{name}/{method}" for name, method in routes if declared(name, method) is None)
    assert silent == [], "say in tests/web/who_may.py whom they are for"
    named = {name.split("/")[0] for name in ROUTES}
    assert named <= {name for name, _ in routes}


def _expected(route: Route, who: str) -> set[int]:
    """The statuses of a refusal: to the door, not this role, or no such record."""
    if who in ("nobody", "phone") or route.audience is For.PHONE:
        return {302}
    if who == "stranger" and route.audience.name.endswith("_IT"):
        return {404}
    return {403}


@pytest.mark.parametrize(
    "who", ["nobody", "phone", "technician", "colleague", "cover", "owner", "head", "stranger"]
)
def test_whom_a_route_is_not_for_is_refused_and_changes_nothing(school: School, who: str) -> None:
    reader = _browser(school, who)
    token = form_token(reader.client)
    seen = _seen(school)
    before, walked = school.records(), 0
    for route in school.routes():
        if route.audience is For.ANYONE or who in MAY[route.audience]:
            continue
        form = full_form(school.a_class) | {"csrf_token": token, "seen": seen}
        form["action"] = OWN_ACTION.get(route.endpoint, "save")
        data = form if route.method == "POST" else None
        answer = reader.client.open(route.address, method=route.method, data=data)
        assert answer.status_code in _expected(route, who), f"{who}: {route} answered {answer.status_code}"
        if answer.status_code == 302:
            door = "/" if route.audience is For.PHONE else "/sign-in"
            assert answer.headers["Location"].split("?")[0] == door, route
        walked += 1
    assert walked > 20
    assert school.records() == before


@pytest.mark.parametrize("who", ["technician", "colleague"])
def test_who_may_read_finds_every_page(school: School, who: str) -> None:
    reader, opened = _browser(school, who), 0
    for route in school.routes():
        if route.method != "GET" or route.endpoint in DRAWN or route.audience in (For.ANYONE, For.PHONE):
            continue
        if who in MAY[route.audience]:
            leads_on = (route.endpoint, who) in LEADS_ON
            with reader.get(route.address) as answer:  # a file that is not read to its end is closed
                assert answer.status_code == (302 if leads_on else 200), f"{who}: {route}"
            opened += 1
    assert opened > 5


def _seen(school: School) -> str:
    """What the plan's form says that it showed, so that a refusal is not for its age."""
    page = _browser(school, "owner").text(f"/desk/{school.a_class.practical_id}/plan")
    return page.split('name="seen" value="')[1].split('"')[0]
