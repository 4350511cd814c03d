"""The start that the plan gives a bench is what its phone expects."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import change_plan
from tests.practicals.a_class import AClass
from tests.web.phone.phone import READINGS, Phone


def replan(a_class: AClass, **changes: Any) -> None:
    """The class's plan with these changes."""
    change_plan(
        a_class.database,
        actor=a_class.teacher,
        practical_id=a_class.practical_id,
        plan=replace(a_class.practical.plan, **changes),
        now=datetime.now(UTC),
    )


def test_a_start_planned_at_zero_degrees_is_what_the_phone_holds_a_reading_against(
    phone: Phone, a_class: AClass
) -> None:
    at_zero = BenchPlanLine(7, start_temperature_C=Decimal(0))
    replan(a_class, room_temperature_C=Decimal(21), bench_plans=(at_zero,))
    phone.open("/bench/run/all")
    phone.step(**{**READINGS, "start_temperature": "0.5", "end_temperature": "2.6"})
    assert "is unusual for a room" not in phone.text
    assert "far from the rest of the class" not in phone.text
    phone.open("/bench/run/all")
    phone.step(**{**READINGS, "start_temperature": "21.0", "end_temperature": "23.2"})
    assert "A start at 21.0 °C is far from the rest of the class" in phone.text


def test_the_room_typed_like_the_start_is_asked_about_where_the_class_has_another(
    phone: Phone, a_class: AClass
) -> None:
    replan(a_class, room_temperature_C=Decimal("22.5"))
    phone.open("/bench/run/all")
    assert "The class has 22.5 °C. Type yours only if it differs." in phone.text
    phone.step(**READINGS, room_temperature="19.2")
    assert "19.2 °C is what the shot starts at too" in phone.text
    phone.open("/bench/run/all")
    phone.step(**READINGS, room_temperature="22.1")
    assert "what the shot starts at too" not in phone.text


def test_the_start_is_read_in_the_tube_once_it_no_longer_changes(phone: Phone) -> None:
    for page in ("/bench/run/start", "/bench/run/all"):
        phone.open(page)
        assert "Thermometer in the shot, in the tube: read it once it no longer changes." in phone.text
        assert "Hands warm the tube: hold the caps alone, or wear gloves." in phone.text
