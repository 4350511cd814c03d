"""A year at a glance, a metal over the years, and the heat sink that the planner then starts from."""

from __future__ import annotations

import re
from datetime import date, timedelta
from math import sqrt
from typing import Any

import pytest

from app.analysis.figure import Figure
from app.figures.of_department import Glance
from app.figures.studio import Drawing, Studio
from app.practicals.lesson.plan import plan_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.web.department.archive import over_years
from tests.practicals.a_class import NOW, a_plan, a_teacher
from tests.practicals.archive.stored import stored
from tests.reference.known import CASES
from tests.web.desk.conftest import Reader

METAFOR = CASES["meta-bench5"]
"""R metafor 3.8-1: five values with known variances, pooled by Paule and Mandel's method, with Hartung and
Knapp's interval."""


def with_u(value: float, u: float) -> Figure:
    """A value with the 95 % interval of this standard uncertainty."""
    return Figure(value, (value - 1.959964 * u, value + 1.959964 * u))


@pytest.fixture
def five_classes(teacher: TeacherIdentity, sqlite_database: Database) -> list[int]:
    """metafor's five values as specific heats, and as heat sinks a tenth of them, a month apart."""
    return [
        stored(
            sqlite_database,
            teacher,
            with_u(value + 40, sqrt(v)),
            with_u(value, sqrt(v)),
            with_u(value / 10, sqrt(v) / 10),
            title=f"class {place}",
            held_on=date(2031, 1, 6) + timedelta(days=30 * place),
        )
        for place, (value, v) in enumerate(zip(METAFOR["inputs"]["yi"], METAFOR["inputs"]["vi"], strict=True))
    ]


@pytest.mark.usefixtures("five_classes")
def test_the_departments_own_value_is_what_metafor_pools(desk: Reader) -> None:
    expected = METAFOR["expected"]["PM"]
    low, high = expected["ciHK"]
    page = desk.text("/department/years/")
    assert f"{expected['mu']:.1f} J/(kg·K) (95 % interval {low:.1f} … {high:.1f})" in page
    assert "from 5 practicals" in page
    assert "The accepted value 128 lies inside this interval." in page
    assert "Every class lies within its limits." in page
    assert "class 4" in page


@pytest.mark.usefixtures("five_classes")
def test_a_long_chart_begins_with_its_latest_page(desk: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(over_years, "A_CHART", 4)
    for page, titles in (("", [4, 3, 2, 1]), ("?page=1", [4, 3, 2, 1]), ("?page=2", [0]), ("?page=3", [0])):
        assert re.findall(r">class (\d)<", desk.text(f"/department/years/{page}")) == [*map(str, titles)]


@pytest.mark.usefixtures("five_classes")
def test_the_planner_starts_from_the_departments_heat_sink_and_says_so(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    planned = plan_practical(sqlite_database, actor=teacher, plan=a_plan(bench_plans=()), now=NOW)
    page = desk.text(f"/desk/{planned.practical_id}/planner")
    value = re.search(r'name="heat_sink"[^>]*value="([^"]*)"', page)
    assert value
    assert float(value[1]) == pytest.approx(METAFOR["expected"]["PM"]["mu"] / 10, abs=0.06)
    assert "From 5 practicals of your department" in page
    folded = page.split("<summary>")[1].split("</summary>")[0]
    assert f"heat sink {value[1]} J/K, from 5 practicals of your department" in folded
    chemist = a_teacher(sqlite_database, "chemist", department="Chemistry")
    other = plan_practical(sqlite_database, actor=chemist, plan=a_plan(), now=NOW)
    page = (
        Reader(desk.client.application.test_client())
        .let_in("chemist")
        .text(f"/desk/{other.practical_id}/planner")
    )
    assert 'value="20"' in page
    assert "Heat sink, a guess" in page


def test_a_class_far_from_the_others_is_named_outside(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    for place, value in enumerate([160.0, 162, 159, 161, 158, 160, 163, 159, 161, 160, 215]):
        stored(sqlite_database, teacher, with_u(value, 2.0), title=f"class {place}")
    page = desk.text("/department/years/")
    assert "One class lies outside its limits" in page
    outside = re.search(r'class 10</a>.*?<strong class="outside">', page, re.DOTALL)
    assert outside
    assert page.count('<strong class="outside">') == 1
    assert "Fewer than three practicals of this metal tell its specific heat capacity" in page
    drawing = re.search(r'src="(/department/years/class-value\.svg[^"]+)"', page)
    assert drawing
    drawn = desk.get(drawing[1])
    assert (drawn.status_code, drawn.mimetype) == (200, "image/svg+xml")
    svg = drawn.get_data(as_text=True)
    assert 'id="outside-10"' in svg
    assert svg.count('id="class-') == 11
    assert "max-age=86400" in drawn.headers["Cache-Control"]
    assert "no-store" in desk.get(re.sub("state=[^&]*", "state=old", drawing[1])).headers["Cache-Control"]


def test_two_practicals_are_shown_and_not_pooled(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    assert "No practical of the department has a result that was kept yet" in desk.text("/department/years/")
    for value in (160.0, 170.0):
        stored(sqlite_database, teacher, with_u(value, 2.0), with_u(128.0, 3.0), with_u(30.0, 3.0))
    page = desk.text("/department/years/?metal=lead")
    assert "Fewer than three practicals have a value with an interval" in page
    assert "the planner starts from the usual guess" in page
    assert desk.get("/department/years/?metal=copper").status_code == 404


def test_a_year_at_a_glance_has_a_drawing_and_a_row_for_each(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    for place in range(25):
        stored(sqlite_database, teacher, with_u(165.0, 2.0), title=f"class {place}")
    stored(sqlite_database, teacher, with_u(165.0, 2.0), title="next year", held_on=date(2031, 9, 1))
    stored(sqlite_database, teacher, title="without a result")
    assert desk.get("/department/year/").headers["Location"].endswith("/department/year/2031/")
    page = desk.text("/department/year/2030/")
    assert "School year 2030/31 at a glance" in page
    assert page.count("<picture>") == 24
    assert "page 1 of 2" in page
    assert "next year" not in page
    assert "without a result" not in page
    assert "157.5 … 172.5" in page, "the middle half of 150, 160, 170 and 180"
    drawing = re.search(r'<img src="(/department/glance/[^"]+)"', page)
    assert drawing
    svg = desk.get(drawing[1]).get_data(as_text=True)
    assert 'id="accepted-line"' in svg
    assert 'id="class-band"' in svg
    assert svg.count('id="run-aside"') == 1
    assert desk.text("/department/year/2030/?page=2").count("<picture>") == 1
    assert "No finished practical of this school year" in desk.text("/department/year/2012/")
    assert desk.get("/department/year/0/").status_code == 404


def test_another_department_sees_none_of_it(
    desk: Reader, five_classes: list[int], sqlite_database: Database
) -> None:
    a_teacher(sqlite_database, "chemist", department="Chemistry", is_head=True)
    address = f"/department/glance/{five_classes[0]}.svg?low=-25&high=75"
    assert desk.get(address).status_code == 200
    for wrong in (
        *("low=0&high=75", "low=-25&high=0", "low=-225&high=75", "low=-25&high=225"),
        *("low=-24&high=75", "low=-25&high=75&room=wall"),
    ):
        assert desk.get(f"/department/glance/{five_classes[0]}.svg?{wrong}").status_code == 404
    stranger = Reader(desk.client.application.test_client()).let_in("chemist")
    assert stranger.get(address).status_code == 404
    for page in ("/department/", "/department/years/", "/department/year/2030/"):
        assert "class 1" not in stranger.text(page)
    assert "class-0" not in stranger.get("/department/years/class-value.svg?metal=lead").get_data(
        as_text=True
    )


@pytest.mark.parametrize(("language", "right_to_left"), [("en", False), ("ar", True)])
def test_a_glance_is_drawn_in_percent_from_the_accepted_value_on_any_scale_that_a_page_can_have(
    desk: Reader,
    teacher: TeacherIdentity,
    sqlite_database: Database,
    monkeypatch: pytest.MonkeyPatch,
    language: str,
    right_to_left: bool,
) -> None:
    """Accepted are 128 J/(kg·K): 160 are a quarter more, 144 and 176 an eighth and three eighths."""
    asked: list[tuple[Drawing, Any]] = []

    def draw(_studio: Studio, wanted: Drawing, shown: Any, _say: Any) -> bytes:
        asked.append((wanted, shown))
        return b"<svg></svg>"

    monkeypatch.setattr(Studio, "draw", draw)
    made = stored(sqlite_database, teacher, Figure(160.0, (144.0, 176.0)))
    for address in (f"glance/{made}.svg?low=-200&high=200", "years/class-value.svg?metal=lead"):
        answer = desk.get(f"/department/{address}", **{"Accept-Language": language})
        assert answer.status_code == 200
        assert answer.headers["Cache-Control"].startswith("private, max-age=86400") is ("glance" in address)
    (glance, shown), (years, over) = asked
    assert (over.places, over.accepted, over.years) == (range(1), (128.0,), ("2030/31",))
    assert [(one.language, one.right_to_left) for one in (glance, years)] == [(language, right_to_left)] * 2
    runs = tuple(100 * (value - 128) / 128 for value in (150, 160, 170, 180))
    assert shown == Glance(runs, (212.5,), 25.0, (12.5, 37.5), (-200, 200))
