"""Caps and the depth of the settled shot, measured by the bench instead of one end allowance for all."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.plan import change_plan
from app.practicals.runs.reading import RunDetails
from tests.practicals.a_class import NOW, AClass
from tests.web.phone.phone import KEY, READINGS, Phone, on_both_databases

PARTS = {**READINGS, "caps": "2", "settled_depth": "5.2"}
del PARTS["end_allowance"]


def _measuring(a_class: AClass, measured: bool = True) -> None:
    plan = replace(a_class.practical.plan, depth_measured=measured)
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )


def _runs(a_class: AClass) -> tuple[RunDetails, ...]:
    return class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs


@on_both_databases
def test_caps_and_depth_are_asked_for_stored_and_make_the_end_allowance(
    phone: Phone, a_class: AClass
) -> None:
    _measuring(a_class)
    phone.open("/bench/run/tube")
    assert "B: hold the tube upright and measure" in phone.text
    assert 'name="end_allowance"' not in phone.text
    phone.open("/bench/run/all")
    phone.step(**PARTS)
    assert phone.path == "/bench/run/check"
    assert "7.2 cm" in phone.text
    phone.step("send")
    phone.open("/bench/runs")
    assert "100 cm − 7.2 cm (2 cm + 5.2 cm)" in phone.text
    (run,) = _runs(a_class)
    assert (run.entry.caps.raw, run.entry.settled_depth.raw) == ("2", "5.2")
    assert run.entry.in_si["caps_m"] == 0.02
    assert run.entry.in_si["settled_depth_m"] == 0.052
    assert run.entry.end_allowance.value == Decimal("0.072")


def test_drawing_and_hint_say_the_same_of_the_two_caps(phone: Phone, a_class: AClass) -> None:
    _measuring(a_class)
    phone.open("/bench/run/tube")
    marks = re.findall(r"<text[^>]*>(.)</text>", phone.text)
    assert marks == ["L", "A", "A", "B"]
    assert "A + A: what both caps take together of that length." in phone.text
    assert "L: from end to end of the tube, caps off." in phone.text, "so that caps and length do not overlap"


def test_the_next_run_of_the_same_tube_and_shot_asks_for_neither_again(phone: Phone, a_class: AClass) -> None:
    _measuring(a_class)
    phone.open("/bench/run/all")
    phone.step(**PARTS)
    phone.step("send")
    phone.open("/bench/run/start")
    assert "340\xa0g · 100\xa0cm · 2\xa0cm · 5.2\xa0cm" in phone.text
    phone.step(start_temperature="19.0")
    phone.step(inversions="50")
    phone.step(end_temperature="21.1")
    assert phone.path == "/bench/run/check"
    phone.step("send")
    assert [run.entry.end_allowance.value for run in _runs(a_class)] == [Decimal("0.072")] * 2


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"settled_depth": "0"}, "settled_depth", "The shot has a depth."),
        ({"settled_depth": ""}, "settled_depth", "Nothing was typed."),
        ({"caps": ""}, "caps", "Nothing was typed."),
        ({"caps": "", "settled_depth": ""}, "settled_depth", "Nothing was typed."),
        ({"settled_depth": "120"}, "settled_depth", "Caps and settled shot fill the whole tube"),
        ({"settled_depth": "5,2 cm 3"}, "settled_depth", "more than one number"),
    ],
)
def test_a_depth_that_cannot_be_is_said_at_its_field_and_stays_typed(
    phone: Phone, a_class: AClass, typed: dict[str, str], field: str, sentence: str
) -> None:
    _measuring(a_class)
    phone.open("/bench/run/all")
    answer = phone.step(**{**PARTS, **typed})
    assert answer.status_code == 422
    told = phone.text.partition(f'id="{field}-problem"')[2].partition("</p>")[0]
    assert sentence in told
    assert {name: phone.form()[name] for name in typed} == typed
    assert not _runs(a_class)


@pytest.mark.parametrize(
    ("measured", "typed", "sentence"),
    [
        (True, {"caps": "2", "settled_depth": "120"}, "Caps and settled shot fill the whole tube"),
        (True, {"caps": "2", "settled_depth": "98"}, "Caps and settled shot fill the whole tube"),
        (False, {"end_allowance": "100"}, "must be at least zero and less than the tube length"),
    ],
)
def test_ends_that_take_the_whole_tube_are_said_at_their_own_step_before_the_shot_is_tipped(
    phone: Phone, a_class: AClass, measured: bool, typed: dict[str, str], sentence: str
) -> None:
    _measuring(a_class, measured)
    phone.open("/bench/run/tube")
    assert phone.step(tube_length="100", **typed).status_code == 422
    assert sentence in phone.text
    assert "It is right as typed" not in phone.text
    assert {name: phone.form()[name] for name in typed} == typed
    name = list(typed)[-1]
    phone.step(**{name: "5.2"})
    assert phone.path == "/bench/run/start"


def test_a_depth_in_inches_is_understood_and_one_in_millimetres_is_asked_about(
    phone: Phone, a_class: AClass
) -> None:
    _measuring(a_class)
    phone.open("/bench/run/all")
    phone.step(**{**PARTS, "settled_depth": "52"})
    assert "An end allowance of 54 cm leaves little or no fall" in phone.text
    phone.open("/bench/run/all")
    phone.step(**{**PARTS, "settled_depth": "2 in"})
    phone.step("send")
    (run,) = _runs(a_class)
    assert run.entry.in_si["settled_depth_m"] == 0.0508
    assert run.entry.end_allowance.value == Decimal("0.0708")


def test_a_run_typed_before_the_plan_changed_is_taken_as_it_was_typed(phone: Phone, a_class: AClass) -> None:
    _measuring(a_class)
    bench = phone.open("/bench/run/all").get_data(as_text=True).partition('data-bench="')[2].partition('"')[0]
    sent = phone.ask("/bench/send", {**READINGS, "key": KEY, "bench": bench})
    assert sent.status_code == 200, sent.get_data(as_text=True)
    again = phone.ask("/bench/send", {**PARTS, "end_allowance": "6", "key": KEY, "bench": bench})
    assert again.status_code == 422
    assert "make 7.2 cm, but the end allowance says 6 cm" in (again.json or {})["problem"]
    _measuring(a_class, measured=False)
    other = phone.ask("/bench/send", {**PARTS, "key": KEY[::-1], "bench": bench})
    assert other.status_code == 200, other.get_data(as_text=True)
    assert [run.entry.end_allowance.value for run in _runs(a_class)] == [Decimal("0.05"), Decimal("0.072")]


def test_a_correction_asks_for_the_two_parts_that_were_typed(phone: Phone, a_class: AClass) -> None:
    _measuring(a_class)
    phone.open("/bench/run/all")
    phone.step(**PARTS)
    phone.step("send")
    (run,) = _runs(a_class)
    phone.open(f"/bench/runs/{run.run_id}")
    assert 'name="end_allowance"' not in phone.text
    phone.send(phone.path, {**phone.form(), "settled_depth": "4.2"})
    (run,) = _runs(a_class)
    assert (run.version, run.entry.end_allowance.value) == (2, Decimal("0.062"))


def test_a_plan_with_one_allowance_asks_as_before(phone: Phone, a_class: AClass) -> None:
    phone.open("/bench/run/tube")
    assert 'name="end_allowance"' in phone.text
    assert 'name="settled_depth"' not in phone.text
    assert "<svg" not in phone.text.partition('data-step="tube"')[2].partition("</section>")[0]
