"""The room temperature: asked for when the practical opens, changed in the lesson, missed where it is not."""

from __future__ import annotations

import html
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import BenchPlanLine, Plan, PracticalDetails, Typed
from app.practicals.lesson.plan import change_plan, practical_details
from app.practicals.lesson.states import finish_practical, pause_practical
from app.practicals.runs.sending import enter_run
from app.web.desk.blueprint import snapshot_here
from app.web.desk.lesson import controls
from app.web.forms import plain
from tests.practicals.a_class import NOW, AClass, a_teacher, an_entry, new_key
from tests.web.desk.conftest import Reader

OPEN = "conduct/open"
MISSED = "No room temperature: a leak to the room is not in the result."


def _details(a_class: AClass) -> PracticalDetails:
    return practical_details(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)


def _with_plan(a_class: AClass, **changes: Any) -> Plan:
    plan = replace(a_class.practical.plan, **changes)
    return change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    ).plan


def _send(
    desk: Reader, a_class: AClass, typed: str, step: str = "room", seen: str | None = None, **more: str
) -> TestResponse:
    """The form as the lesson page shows it, or as it showed it when the room temperature was `seen`."""
    shown = plain(_details(a_class).plan.room_temperature_C) if seen is None else seen
    address = f"/desk/{a_class.practical_id}/{step}"
    return desk.post(address, room_temperature=typed, seen=shown, **more)


def test_one_press_opens_the_practical_and_keeps_the_room_temperature(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}"
    assert 'name="room_temperature"' in desk.text(f"{address}/")
    assert 'name="seen" value=""' in desk.text(f"{address}/")
    assert _send(desk, planned, "21,3", OPEN).status_code == 302
    stored = _details(planned)
    assert (stored.state, stored.plan.room_temperature_C) == ("collecting", Decimal("21.3"))
    assert stored.plan.typed["room_temperature"] == "21,3"
    page = desk.text(f"{address}/")
    assert "21.3 °C" in page
    assert MISSED not in page
    assert 'name="seen" value="21.3"' in page
    assert "21.3" in desk.text(f"{address}/history")


def test_it_may_stay_empty_and_then_the_lesson_says_what_is_lost(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}"
    assert MISSED not in desk.text(f"{address}/"), "nothing is lost before the lesson"
    assert _send(desk, planned, "", OPEN).status_code == 302
    assert _details(planned).plan.room_temperature_C is None
    assert MISSED in desk.text(f"{address}/")
    assert MISSED in desk.text(f"{address}/live")


@pytest.mark.parametrize("step", ["conduct/open", "room"])
def test_what_cannot_be_a_temperature_is_said_and_stays_in_the_field(
    desk: Reader, planned: AClass, step: str
) -> None:
    answer = _send(desk, planned, "warm", step)
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert "is not a number" in page
    assert 'value="warm"' in page
    stored = _details(planned)
    assert (stored.state, stored.plan.room_temperature_C) == ("planned", None)


def test_degrees_fahrenheit_are_understood_and_a_bare_70_is_asked_about(
    desk: Reader, a_class: AClass
) -> None:
    _send(desk, a_class, "70 °F")
    first = _details(a_class).plan.room_temperature_C
    assert first is not None
    assert abs(first - Decimal("21.1111")) < Decimal("0.001")
    assert "The room temperature is kept." in desk.text(f"/desk/{a_class.practical_id}/")
    _send(desk, a_class, "")
    assert "No room temperature is kept for the class now." in desk.text(f"/desk/{a_class.practical_id}/")
    _send(desk, a_class, "70 °F")
    asked = _send(desk, a_class, "68")
    assert asked.status_code == 200
    assert "did you mean 68 °F (20.0 °C)" in asked.get_data(as_text=True)
    assert _details(a_class).plan.room_temperature_C == first, "asking is not doing"
    _send(desk, a_class, "68", meant="68 °F")
    assert _details(a_class).plan.room_temperature_C == Decimal(20)


def test_the_shots_start_typed_as_the_rooms_is_asked_about_and_may_be_right(
    desk: Reader, planned: AClass
) -> None:
    _with_plan(planned, bench_plans=(BenchPlanLine(1, start_temperature_C=Decimal("17.2")),))
    asked = _send(desk, planned, "17.2", OPEN)
    assert asked.status_code == 200
    assert "17.2 °C is what the shot starts at too" in asked.get_data(as_text=True)
    assert _details(planned).state == "planned", "asking is not doing"
    again = _send(desk, planned, "17.21", OPEN, sure="17.2")
    assert again.status_code == 200, "another number is asked about anew"
    assert _send(desk, planned, "17.2", OPEN, sure="17.2").status_code == 302
    stored = _details(planned)
    assert (stored.state, stored.plan.room_temperature_C) == ("collecting", Decimal("17.2"))


@pytest.mark.parametrize("typed", ["8", "36.5", "45 °F"])
def test_a_room_that_is_hardly_worked_in_is_asked_about_once_and_may_be_so(
    desk: Reader, planned: AClass, typed: str
) -> None:
    asked = _send(desk, planned, typed, OPEN)
    assert asked.status_code == 200
    assert "is unusual for a room. Is it right?" in asked.get_data(as_text=True)
    assert (_details(planned).state, _details(planned).plan.room_temperature_C) == ("planned", None)
    assert _send(desk, planned, typed, OPEN, sure=typed).status_code == 302
    stored = _details(planned)
    assert (stored.state, stored.plan.typed["room_temperature"]) == ("collecting", typed)


def test_a_change_after_some_runs_goes_to_those_without_one_of_their_own(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    a_class, address = class_with_a_slip, f"/desk/{class_with_a_slip.practical_id}"
    own = an_entry(room_temperature=Typed("23", Decimal(23), "°C"))
    enter_run(a_class.database, actor=a_class.join(8), key=new_key(), entry=own, now=NOW)
    assert MISSED not in desk.text(f"{address}/"), "a run's own room is the room's"
    assert _send(desk, a_class, "21.5").status_code == 302
    assert "(runs: 14)" in desk.text(f"{address}/")
    before = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).result
    assert _send(desk, a_class, "22").status_code == 302
    told = "Room temperature of every run without one of its own: 21.5 °C → 22 °C"
    assert told in desk.text(f"{address}/history")
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    assert snapshot.result is not None
    assert snapshot.result.settings.room_temperature_C == 22.0
    assert before is not None
    assert snapshot.result.class_value != before.class_value, "worked out again"
    assert [run.readings.room_temperature_C for run in snapshot.result.runs] == [None] * 14 + [23.0]
    assert _send(desk, a_class, "").status_code == 302
    assert _details(a_class).plan.room_temperature_C is None


def test_a_colleague_sees_it_and_cannot_change_it(desk: Reader, a_class: AClass, application: Flask) -> None:
    colleague = Reader(application.test_client()).let_in(a_teacher(a_class.database, "mr-brandt").login)
    _send(desk, a_class, "21.5")
    assert "21.5 °C" in colleague.text(f"/desk/{a_class.practical_id}/")
    assert _send(colleague, a_class, "19").status_code == 403
    assert _details(a_class).plan.room_temperature_C == Decimal("21.5")


def test_the_report_says_how_large_a_leak_may_be_that_nobody_can_see(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    report = f"/board/{class_with_a_slip.practical_id}/report"
    page = desk.text(report)
    assert "without it a leak to the room is neither in the result nor in the interval" in page
    assert "A usual leak moves the result by about" in page
    _send(desk, class_with_a_slip, "21.5")
    assert "without it a leak to the room" not in desk.text(report)


@pytest.mark.parametrize("step", [OPEN, "room"])
@pytest.mark.parametrize("form", [{"seen": "21.5"}, {"room_temperature": ""}, {"room_temperature": "19"}])
def test_a_form_without_its_field_or_without_what_it_showed_clears_nothing(
    desk: Reader, planned: AClass, step: str, form: dict[str, str]
) -> None:
    _with_plan(planned, room_temperature_C=Decimal("21.5"))
    answer = desk.post(f"/desk/{planned.practical_id}/{step}", **form)
    assert answer.status_code == 422
    assert "so nothing was changed" in answer.get_data(as_text=True)
    stored = _details(planned)
    assert (stored.state, stored.plan.room_temperature_C) == ("planned", Decimal("21.5"))


@pytest.mark.parametrize("typed", ["19", ""])
def test_what_a_colleague_stored_meanwhile_is_not_overwritten_unseen(
    desk: Reader, a_class: AClass, typed: str
) -> None:
    _send(desk, a_class, "20.5")
    answer = _send(desk, a_class, typed, seen="")
    page = html.unescape(answer.get_data(as_text=True))
    assert answer.status_code == 409
    assert "Meanwhile 20.5 °C was stored as the room temperature." in page
    assert f'value="{typed}"' in page
    assert 'name="seen" value="20.5"' in page, "the next press is meant"
    assert _details(a_class).plan.room_temperature_C == Decimal("20.5")
    assert _send(desk, a_class, typed).status_code == 302


def test_the_same_temperature_typed_by_two_is_no_conflict(desk: Reader, a_class: AClass) -> None:
    _send(desk, a_class, "20.5")
    assert _send(desk, a_class, "20,5", seen="").status_code == 302


def test_what_was_typed_beside_open_is_kept_where_a_colleague_opened_meanwhile(
    desk: Reader, a_class: AClass
) -> None:
    assert _send(desk, a_class, "21.5", OPEN, seen="").status_code == 302
    assert _details(a_class).plan.room_temperature_C == Decimal("21.5"), "nobody had given one"


def test_it_comes_back_in_the_field_where_the_colleague_typed_another(desk: Reader, a_class: AClass) -> None:
    _send(desk, a_class, "20.5")
    answer = _send(desk, a_class, "21.5", OPEN, seen="")
    assert answer.status_code == 409
    page = html.unescape(answer.get_data(as_text=True))
    assert "Meanwhile 20.5 °C was stored as the room temperature." in page
    assert 'value="21.5"' in page
    assert f'action="/desk/{a_class.practical_id}/room"' in page, "the next press keeps it"
    assert _send(desk, a_class, "", OPEN, seen="").status_code == 302, "nothing was typed: nothing is lost"
    assert _details(a_class).plan.room_temperature_C == Decimal("20.5")


@pytest.mark.parametrize("move", [pause_practical, finish_practical])
def test_it_is_kept_too_where_the_lesson_is_further_on_already(
    desk: Reader, a_class: AClass, move: Callable[..., object]
) -> None:
    move(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    state = _details(a_class).state
    assert _send(desk, a_class, "21.5", OPEN, seen="").status_code == 302
    stored = _details(a_class)
    assert (stored.state, stored.plan.room_temperature_C) == (state, Decimal("21.5"))
    assert f"This practical is {state}." in desk.text(f"/desk/{a_class.practical_id}/")


def test_it_comes_back_too_where_the_colleague_was_faster_by_a_moment(
    desk: Reader, planned: AClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = class_snapshot(planned.database, planned.practical_id, actor=planned.teacher)
    _send(desk, planned, "20.5", OPEN)
    read = iter([before])
    monkeypatch.setattr(controls, "snapshot_here", lambda at: next(read, None) or snapshot_here(at))
    answer = _send(desk, planned, "21.5", OPEN, seen="")
    page = html.unescape(answer.get_data(as_text=True))
    assert answer.status_code == 409
    assert "Meanwhile 20.5 °C was stored" in page
    assert 'value="21.5"' in page
    assert _details(planned).plan.room_temperature_C == Decimal("20.5")
