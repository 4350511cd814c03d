"""Forms that no page of the tool sends: a field missing, unknown or far too large. Nothing is guessed."""

from __future__ import annotations

import html
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.practicals.board.snapshot import class_snapshot
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.models import Decision, Practical, Teacher
from app.settings import Settings
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_teacher, an_entry, new_key
from tests.web.desk.conftest import Reader
from tests.web.phone.phone import KEY, READINGS, Phone

REASON = "thermometer slipped out"
UNREADABLE = ["", "x", "1.5", "9" * 5000]
UNKNOWN = ["0", "-1", "2", str(2**31), str(2**63), "9" * 25]


@pytest.fixture
def application(database: Database, tmp_path: Path) -> Iterator[Flask]:
    """The application, on each of the two databases."""
    address = database.url.render_as_string(hide_password=False)
    made = create_app(Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path), "DATABASE_URL": address}))
    yield made
    made.extensions["plumbfall_database"].close()


@pytest.fixture
def one(database: Database) -> AClass:
    """A class with one run of bench 3."""
    one = a_collecting_class(database)
    enter_run(database, actor=one.join(3), key=new_key(), entry=an_entry(), now=NOW)
    return one


@pytest.fixture
def desk(application: Flask, one: AClass) -> Reader:
    """Its teacher's browser."""
    return Reader(application.test_client()).let_in(one.teacher.login)


def _the_run(one: AClass) -> str:
    (run,) = class_snapshot(one.database, one.practical_id, actor=one.teacher).runs
    return f"/desk/{one.practical_id}/run/{run.run_id}"


def _given(name: str, value: str | None) -> dict[str, str]:
    """The field, or no such field at all."""
    return {} if value is None else {name: value}


def _decisions(one: AClass) -> int:
    with one.database.reading() as session:
        return session.query(Decision).count()


def test_a_decision_about_a_state_that_the_run_never_had_is_refused(desk: Reader, one: AClass) -> None:
    for revision in (*UNREADABLE, *UNKNOWN, None):
        form = {"action": "set-aside", "reason": REASON} | _given("run_revision", revision)
        answer = desk.post(f"{_the_run(one)}/decide", **form)
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == (409 if revision in UNKNOWN else 422), revision
        assert "nothing was changed" in page
        assert REASON in page, "what was typed is kept"
    assert _decisions(one) == 0


def test_a_decision_without_a_button_decides_nothing(desk: Reader, one: AClass) -> None:
    for action in (None, "", "COUNT", "delete"):
        form = {"reason": REASON, "run_revision": "1"} | _given("action", action)
        answer = desk.post(f"{_the_run(one)}/decide", **form)
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422, action
        assert "which button was pressed" in page
        assert REASON in page
    assert _decisions(one) == 0


def test_a_teacher_is_not_switched_off_by_a_form_that_does_not_say_so(
    application: Flask, database: Database
) -> None:
    head, colleague = a_teacher(database, "mr-ito", is_head=True), a_teacher(database)
    heads_desk = Reader(application.test_client()).let_in(head.login)
    for active in (None, "", "on", "YES"):
        form = _given("active", active)
        answer = heads_desk.post(f"/department/teachers/{colleague.teacher_id}/switch", **form)
        assert answer.status_code == 422, active
        assert "which button was pressed" in answer.get_data(as_text=True)
    with database.reading() as session:
        assert session.get_one(Teacher, colleague.teacher_id).is_active


def test_a_held_wall_is_not_let_go_by_a_form_that_does_not_say_so(desk: Reader, one: AClass) -> None:
    address = f"/board/{one.practical_id}/pause"
    assert desk.post(address, paused="yes").status_code == 303
    for form in ({}, {"paused": "perhaps"}):
        assert desk.post(address, **form).status_code == 422
    with one.database.reading() as session:
        assert session.get_one(Practical, one.practical_id).board_paused


def test_a_bench_is_not_released_by_a_button_that_is_not_there(desk: Reader, one: AClass) -> None:
    address = f"/desk/{one.practical_id}/bench/3/release"
    assert desk.post(address, phones="all of them").status_code == 422
    (bench,) = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    assert not bench.open_to_a_phone
    assert desk.post(address).status_code == 302


def test_a_teachers_correction_that_does_not_say_what_it_corrects_is_refused(
    desk: Reader, one: AClass
) -> None:
    for revision in (*UNREADABLE, None):
        form = READINGS | {"end_temperature": "21.9", "reason": REASON, "key": KEY}
        answer = desk.post(f"{_the_run(one)}/correct", **form, **_given("run_revision", revision))
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422, revision
        assert "which readings its page showed" in page
        assert "21.9" in page
    (run,) = class_snapshot(one.database, one.practical_id, actor=one.teacher).runs
    assert run.version == 1


@pytest.fixture
def phone(application: Flask, one: AClass) -> Phone:
    """A phone of bench 7 that has sent a run."""
    phone = Phone(application.test_client())
    phone.join(one.practical.join_code or "", 7)
    answer = phone.ask("/bench/send", {**READINGS, "key": KEY, "bench": str(_bench(one, 7))})
    assert answer.status_code == 200
    return phone


def _bench(one: AClass, number: int) -> int:
    benches = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    return next(bench.bench_id for bench in benches if bench.number == number)


def test_a_hand_stays_up_when_the_form_does_not_say_which_way(phone: Phone, one: AClass) -> None:
    assert phone.send("/bench/help", {"wanted": "yes"}, follow=False).status_code == 302
    assert phone.send("/bench/help", {}).status_code == 422
    benches = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    assert next(bench for bench in benches if bench.number == 7).asked_for_help_at


def test_a_benchs_correction_that_does_not_say_what_it_corrects_is_refused(phone: Phone, one: AClass) -> None:
    runs = class_snapshot(one.database, one.practical_id, actor=one.teacher).runs_of(7)
    form = {**READINGS, "end_temperature": "21.9", "key": new_key()}
    answer = phone.send(f"/bench/runs/{runs[0].run_id}", form)
    assert answer.status_code == 409
    assert "which readings its page showed" in phone.text
    assert "21.9" in phone.text
    assert class_snapshot(one.database, one.practical_id, actor=one.teacher).runs_of(7)[0].version == 1


def test_a_phone_that_does_not_say_how_far_it_is_is_not_put_back(phone: Phone, one: AClass) -> None:
    assert phone.ask("/bench/progress", {"waiting": "1"}).status_code == 422
    benches = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    assert next(bench for bench in benches if bench.number == 7).progress == "sent"
