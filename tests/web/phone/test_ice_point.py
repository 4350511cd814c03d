"""What the bench's thermometer reads in melting ice: one question, where the class's thermometers differ."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from app.practicals.benches.watch import BenchDetails, benches_of
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import change_plan
from app.practicals.lesson.states import finish_practical
from tests.practicals.a_class import NOW, AClass
from tests.web.phone.phone import READINGS, Phone, on_both_databases

QUESTION = "What does yours read in melting ice?"


@pytest.fixture
def differing(a_class: AClass) -> AClass:
    """The thermometer of bench 7 has steps of half a degree, bench 8 has an ice-point reading in the plan."""
    lines = (
        BenchPlanLine(7, thermometer_step_K=Decimal("0.5")),
        BenchPlanLine(8, thermometer_step_K=Decimal("0.5"), ice_point_C=Decimal("0.7")),
    )
    plan = replace(a_class.practical.plan, bench_plans=lines)
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )
    return a_class


def _bench(a_class: AClass, number: int = 7) -> BenchDetails:
    benches = benches_of(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    return next(bench for bench in benches if bench.number == number)


def _ice_points(a_class: AClass) -> list[float | None]:
    snapshot = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)
    assert snapshot.result is not None
    return [run.readings.ice_point_C for run in snapshot.result.runs]


@on_both_databases
def test_a_bench_answers_once_and_its_runs_have_the_reading(
    differing: AClass, new_phone: Callable[[], Phone], code: str
) -> None:
    phone = new_phone()
    phone.join(code, 7)
    assert QUESTION in phone.text
    phone.send("/bench/ice", {"ice_point": "0,5", "ice_point_unit": "°C", "go": "keep"})
    assert phone.path == "/bench/run/weigh", "one tap more than without the question"
    assert (_bench(differing).ice_point_text, _bench(differing).ice_point_C) == ("0,5 °C", Decimal("0.5"))
    for _ in range(2):
        phone.open("/bench/run/all")
        phone.step(**READINGS)
        phone.step("send")
        phone.open("/bench/")
        assert QUESTION not in phone.text
    assert _ice_points(differing) == [0.5, 0.5]
    again = new_phone()
    again.send(f"/j/{code}", {"number": "7", "key": _bench(differing).bench_key})
    again.send("/bench/safety", {})
    assert QUESTION not in again.text, "the bench's second phone is not asked either"


def test_not_taken_is_a_fine_answer(differing: AClass, new_phone: Callable[[], Phone], code: str) -> None:
    phone = new_phone()
    phone.join(code, 7)
    phone.open("/bench/ice")
    assert "may stay empty" in phone.text
    phone.send("/bench/ice", {"ice_point": "", "ice_point_unit": "°C", "go": "not-taken"})
    assert phone.path == "/bench/run/weigh"
    phone.open("/bench/")
    assert phone.path == "/bench/run/weigh", "and it is not asked again"
    phone.step(shot_mass="340")
    assert _bench(differing).ice_point_C is None
    phone.open("/bench/ours")
    assert "Not yet read in melting ice." in phone.text


def test_nobody_is_asked_where_thermometers_are_alike_or_the_plan_knows(
    phone: Phone, a_class: AClass, new_phone: Callable[[], Phone], code: str
) -> None:
    assert phone.path == "/bench/run/weigh"
    assert QUESTION not in phone.text
    phone.open("/bench/ours")
    assert "melting ice" not in phone.text
    lines = (BenchPlanLine(8, thermometer_step_K=Decimal("0.5"), ice_point_C=Decimal("0.7")),)
    plan = replace(a_class.practical.plan, bench_plans=lines)
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )
    planned = new_phone()
    planned.join(code, 8)
    assert planned.path == "/bench/run/weigh"
    planned.open("/bench/run/all")
    planned.step(**READINGS)
    planned.step("send")
    assert _ice_points(a_class) == [0.7]
    planned.open("/bench/ours")
    assert "It reads in melting ice: 0.7 °C" in planned.text.replace("<bdi>", "").replace("</bdi>", "")


BAD = [
    (
        "21",
        "°C",
        "In melting ice a thermometer shows between −5 and 5 °C, not 21 °C. Read it in ice and water",
    ),
    ("32", "°C", "If yours shows °F, write 32\xa0°F."),
    ("70", "°F", "In melting ice a thermometer shows between −5 and 5 °C, not 70 °F."),
    ("−5.1", "°C", "between −5 and 5 °C, not -5.1 °C"),
    ("cold", "°C", "is not a number"),
    ("0.", "°C", "stops at its decimal mark"),
    ("0.5 g", "°C", "The unit “g” does not fit here. Use one of: °C, °F."),
]


@pytest.mark.parametrize(("typed", "unit", "said"), BAD)
def test_what_is_no_ice_point_gets_a_sentence_and_stays(
    differing: AClass, new_phone: Callable[[], Phone], code: str, typed: str, unit: str, said: str
) -> None:
    phone = new_phone()
    phone.join(code, 7)
    answer = phone.send("/bench/ice", {"ice_point": typed, "ice_point_unit": unit, "go": "keep"})
    assert answer.status_code == 422
    assert said in phone.text
    assert (phone.form()["ice_point"], phone.form()["ice_point_unit"]) == (typed, unit)
    assert _bench(differing).ice_point_C is None


def test_fahrenheit_is_read_as_such(differing: AClass, new_phone: Callable[[], Phone], code: str) -> None:
    phone = new_phone()
    phone.join(code, 7)
    phone.send("/bench/ice", {"ice_point": "33.8", "ice_point_unit": "°F", "go": "keep"})
    assert _bench(differing).ice_point_C == 1, "(33.8 − 32)·5/9 (NIST SP 811, B.8)"
    assert _bench(differing).ice_point_text == "33.8 °F"


def test_a_thermometer_far_off_is_asked_about_once(
    differing: AClass, new_phone: Callable[[], Phone], code: str
) -> None:
    phone = new_phone()
    phone.join(code, 7)
    phone.send("/bench/ice", {"ice_point": "2.0", "ice_point_unit": "°C", "go": "keep"})
    assert _bench(differing).ice_point_C == 2
    answer = phone.send("/bench/ice", {"ice_point": "2.1", "ice_point_unit": "°C", "go": "keep"})
    assert answer.status_code == 200
    assert "More than 2 K off: read it again" in phone.text
    assert _bench(differing).ice_point_C == 2
    (sure,) = [part.split('"')[0] for part in phone.text.split('name="sure" value="')[1:]]
    other = {"ice_point": "−2.5", "ice_point_unit": "°C", "sure": sure}
    phone.send("/bench/ice", other)
    assert "More than 2 K off" in phone.text, "another reading is asked about anew"
    phone.send("/bench/ice", {"ice_point": "2.1", "ice_point_unit": "°C", "sure": sure})
    assert phone.path == "/bench/run/weigh"
    assert _bench(differing).ice_point_C == Decimal("2.1")


def test_a_reading_is_put_right_and_taken_back_on_the_benchs_own_page(
    differing: AClass, new_phone: Callable[[], Phone], code: str
) -> None:
    phone = new_phone()
    phone.join(code, 8)
    phone.open("/bench/ice")
    assert "The plan has 0.7 °C for your bench." in phone.text
    phone.send("/bench/ice", {"ice_point": "0", "ice_point_unit": "°C", "go": "keep"})
    phone.open("/bench/run/all")
    phone.step(**READINGS)
    phone.step("send")
    assert _ice_points(differing) == [0.0], "a reading of 0 is a reading"
    phone.open("/bench/ice")
    assert phone.form()["ice_point"] == "0 °C"
    phone.send("/bench/ice", {"ice_point": "", "ice_point_unit": "°C", "go": "keep"})
    assert _ice_points(differing) == [0.7], "the plan's again"


def test_a_finished_practical_keeps_what_is_typed_on_the_page(
    differing: AClass, new_phone: Callable[[], Phone], code: str
) -> None:
    phone = new_phone()
    phone.join(code, 7)
    finish_practical(
        differing.database, actor=differing.teacher, practical_id=differing.practical_id, now=NOW
    )
    answer = phone.send("/bench/ice", {"ice_point": "0.4", "ice_point_unit": "°C", "go": "keep"})
    assert answer.status_code == 409
    assert "This practical is finished." in phone.text
    assert phone.form()["ice_point"] == "0.4"


def test_the_start_is_held_against_what_its_own_thermometer_shows(
    differing: AClass, new_phone: Callable[[], Phone], code: str
) -> None:
    """A planned start of 20 °C shows as 21.5 °C; more than 15 K from that is asked about."""
    lines = (BenchPlanLine(7, thermometer_step_K=Decimal("0.5"), start_temperature_C=Decimal(20)),)
    plan = replace(differing.practical.plan, bench_plans=lines)
    change_plan(
        differing.database, actor=differing.teacher, practical_id=differing.practical_id, plan=plan, now=NOW
    )
    phone = new_phone()
    phone.join(code, 7)
    far = {"start_temperature": "6", "go": "next"}
    phone.open("/bench/run/start")
    phone.step(**far)
    assert phone.path == "/bench/run/count", "14 K below 20"
    phone.send("/bench/ice", {"ice_point": "1.5", "ice_point_unit": "°C", "go": "keep"})
    phone.open("/bench/run/start")
    phone.step(**far)
    assert phone.path == "/bench/run/start", "15.5 K below 21.5"
