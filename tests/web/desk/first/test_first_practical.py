"""A first practical by the hand, over HTTP: three questions, the class that plays itself, the real plan."""

from __future__ import annotations

import re
import threading

import pytest
from flask import Flask
from sqlalchemy import func, select

from app.practicals.board.snapshot import Snapshot
from app.practicals.made_up.first.a_class import class_at
from app.practicals.made_up.first.script import SCRIPT
from app.practicals.people.actors import TeacherIdentity
from app.records.base import Base
from app.records.engine import Database
from app.records.models import FirstClass
from tests.practicals.a_class import PASSWORD, AClass, a_teacher
from tests.web.desk.conftest import Reader
from tests.web.form_token import form_token

ANSWERS = {"planned_benches": "6", "material": "tin", "held_on": "2031-05-08"}
TAGS_AND_TIMES = re.compile(r"<[^>]*>|\d\d:\d\d(:\d\d)?")
ABOUT_SIGNING_IN = {"teacher_session", "known_browser", "log_entry", "access_mark"}


def _rows(database: Database) -> dict[str, int]:
    with database.reading() as session:
        return {
            table.name: session.scalar(select(func.count()).select_from(table)) or 0
            for table in Base.metadata.sorted_tables
            if table.name not in ABOUT_SIGNING_IN
        }


def test_the_first_sign_in_leads_to_three_questions_and_not_now_to_the_list(
    nobody: Reader, teacher: TeacherIdentity
) -> None:
    form = {"login": teacher.login, "password": PASSWORD}
    assert nobody.post("/sign-in", **form).location == "/desk/first"
    asked = nobody.text("/desk/first")
    assert set(re.findall(r'<(?:input|select) id="(\w+)"', asked)) == set(ANSWERS)
    assert re.search(r'href="/desk/"[^>]*>Not now', asked)
    assert 'href="/desk/first"' in nobody.text("/desk/"), "the offer stays"
    assert nobody.post("/sign-in", **form).location == "/desk/", "once is enough"


def test_who_was_on_the_way_to_a_page_goes_there(nobody: Reader, teacher: TeacherIdentity) -> None:
    form = {"login": teacher.login, "password": PASSWORD, "then": "/desk/account"}
    assert nobody.post("/sign-in", **form).location == "/desk/account"


def test_an_answer_that_cannot_be_used_is_asked_again_and_nothing_typed_is_lost(
    desk: Reader, sqlite_database: Database
) -> None:
    answer = desk.post("/desk/first", **ANSWERS | {"planned_benches": "120", "held_on": "2031-06-19"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "The number of benches is a whole number from 1 to 99." in page
    assert 'value="120"' in page
    assert 'value="2031-06-19"' in page
    assert '<option value="tin" selected>' in page
    assert _rows(sqlite_database)["first_class"] == 0


def test_without_the_script_it_goes_step_by_step_to_the_end_and_on_to_the_plan(
    desk: Reader, sqlite_database: Database
) -> None:
    before = _rows(sqlite_database)
    assert desk.post("/desk/first", **ANSWERS).location == "/desk/first"
    for place, moment in enumerate(SCRIPT):
        page = desk.text("/desk/first")
        assert f'data-place="{place}"' in page
        assert moment.says.template in page
        if place < len(SCRIPT) - 1:
            following = re.search(r'id="first-next" name="to" value="(\d+)"', page)
            assert following
            assert desk.post("/desk/first/turn", to=following.group(1)).location == "/desk/first"
    assert "Plan your real lesson with these answers" in page
    assert _rows(sqlite_database) == before | {"first_class": 1}, "the class itself was never stored"
    plan = desk.post("/desk/first/end", then="plan").location
    assert _rows(sqlite_database) == before
    filled = desk.text(plan)
    assert 'name="planned_benches" type="text" inputmode="numeric" autocomplete="off" value="6"' in filled
    assert re.search(r'<option value="tin"[^>]* selected>', filled)
    assert 'value="2031-05-08"' in filled
    assert 'name="accepted" type="text" inputmode="decimal" autocomplete="off" value="227.4"' in filled


def test_while_it_plays_no_page_of_the_department_and_no_export_has_it(
    application: Flask, desk: Reader, planned: AClass, sqlite_database: Database
) -> None:
    addresses = [f"/desk/{planned.practical_id}/runs.csv", f"/desk/{planned.practical_id}/"]
    addresses += [
        rule.rule
        for rule in application.url_map.iter_rules()
        if rule.endpoint.startswith("department.") and not rule.arguments and "GET" in (rule.methods or ())
    ]

    def seen(address: str) -> str:
        answer = desk.get(address)
        sent = answer.get_data()  # all of it, so that an export is over
        return TAGS_AND_TIMES.sub("", sent.decode()) if answer.content_type.startswith("text/") else ""

    before = {address: seen(address) for address in addresses}
    assert sum(map(bool, before.values())) > 10
    kept_before = _rows(sqlite_database)
    desk.post("/desk/first", **ANSWERS)
    desk.post("/desk/first/turn", to=str(len(SCRIPT) - 1))
    assert "That was the whole lesson." in desk.text("/desk/first")
    for address in addresses:
        assert seen(address) == before[address], address
    assert _rows(sqlite_database) == kept_before | {"first_class": 1}


def test_the_script_gets_the_moment_alone_and_each_reader_an_own_one(
    application: Flask, desk: Reader, sqlite_database: Database
) -> None:
    desk.post("/desk/first", **ANSWERS)
    form = {"csrf_token": form_token(desk.client)}
    answer = desk.client.post("/desk/first/turn", data=form, headers={"X-Plumbfall": "script"})
    assert answer.get_data(as_text=True).lstrip().startswith('<section id="first-now"')
    colleague = Reader(application.test_client()).let_in(a_teacher(sqlite_database, "ms-lund").login)
    assert colleague.post("/desk/first/turn", to="3").status_code == 404


def test_one_press_stops_and_removes_it_and_the_list_offers_both_ways(
    desk: Reader, sqlite_database: Database
) -> None:
    desk.post("/desk/first", **ANSWERS)
    home = desk.text("/desk/")
    assert "Go on watching" in home
    assert 'name="then" value="home">Remove it' in home
    assert desk.post("/desk/first/end", then="home").location == "/desk/"
    assert "Nothing of it was kept" in desk.text("/desk/")
    with sqlite_database.reading() as session:
        assert session.scalars(select(FirstClass)).all() == []


def test_what_comes_next_is_worked_out_while_the_page_is_read(
    desk: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[int, str, int]] = []

    def noted(benches: int, material: str, place: int) -> Snapshot:
        asked.append((benches, material, place))
        return class_at(benches, material, place)

    monkeypatch.setattr("app.practicals.made_up.first.a_class.class_at", noted)
    desk.post("/desk/first", **ANSWERS | {"planned_benches": "7"})
    desk.text("/desk/first")
    for one in threading.enumerate():
        if one.name == "made-up class":
            one.join()
    assert (7, "tin", 1) in asked


@pytest.mark.parametrize("form", [{"to": "x"}, {"to": "99"}, {"pace": "wild"}])
def test_a_button_that_the_page_has_not_changes_nothing(desk: Reader, form: dict[str, str]) -> None:
    desk.post("/desk/first", **ANSWERS)
    assert desk.post("/desk/first/turn", **form).status_code == 422
    assert 'data-place="0" data-pace="usual"' in desk.text("/desk/first")


def test_figures_are_those_of_moments_that_show_one(desk: Reader) -> None:
    asked = "?language=en&room=bright"
    drawn = desk.get(f"/desk/first/figures/6/tin/11.svg{asked}")
    assert (drawn.status_code, drawn.mimetype) == (200, "image/svg+xml")
    for wrong in ("5/tin/11", "17/tin/11", "6/cheese/11", "6/tin/10", "6/tin/17"):
        assert desk.get(f"/desk/first/figures/{wrong}.svg{asked}").status_code == 404, wrong
    assert desk.get("/desk/first/figures/6/tin/11.svg?language=xx&room=bright").status_code == 404
    assert desk.get("/desk/first/figures/6/tin/11.svg?language=en&room=green").status_code == 404


def test_an_address_fills_in_the_plan_only_with_what_can_be_used(desk: Reader) -> None:
    page = desk.text("/desk/new?planned_benches=0&material=cheese&held_on=2031-05-08&title=x")
    assert 'autocomplete="off" value="12"' in page
    assert re.search(r'<option value="lead"[^>]* selected>', page)
    assert 'value="2031-05-08"' in page
