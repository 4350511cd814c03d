"""The count that the plan gives a run is the target on the phone, and what a count is held against."""

from __future__ import annotations

import re

from app.practicals.lesson.details import BenchPlanLine
from tests.practicals.a_class import AClass
from tests.web.phone.phone import READINGS, Phone
from tests.web.phone.test_planned_start import replan

HALF, TWICE = "is half of the planned", "is twice the planned"


def _target(phone: Phone) -> str:
    (found,) = re.findall(r"<strong data-target[^>]*>(\d+)</strong>", phone.text)
    return str(found)


def test_the_second_run_has_its_own_target_and_is_asked_about_by_it(phone: Phone, a_class: AClass) -> None:
    count = int(READINGS["inversions"])
    replan(a_class, bench_plans=(BenchPlanLine(7, inversions=count, second_inversions=count // 2),))
    phone.open("/bench/run/all")
    assert _target(phone) == str(count)
    phone.step(**{**READINGS, "inversions": str(count // 2)})
    assert HALF in phone.text
    phone.open("/bench/run/all")
    phone.step(**READINGS)
    assert HALF not in phone.text
    phone.step(go="send")
    phone.open("/bench/run/all")
    assert _target(phone) == str(count // 2)
    phone.step(**READINGS)
    assert TWICE in phone.text
    phone.open("/bench/run/all")
    phone.step(**{**READINGS, "inversions": str(count // 2)})
    assert TWICE not in phone.text
    assert HALF not in phone.text
