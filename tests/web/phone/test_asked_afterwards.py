"""A run that came in before its phone could ask about an unlikely reading is stored, and asked about then."""

from __future__ import annotations

import re
from html import unescape

import pytest

from app.practicals.lesson.states import finish_practical, pause_practical
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.reading import RunDetails
from app.practicals.runs.sending import correct_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.phone.phone import KEY, Phone, on_both_databases
from tests.web.phone.test_run_without_script import stored

ASKED = "Not checked before it was sent."
HEAVY = "did you mean 340 g?"
SWAPPED = "are the two swapped?"


@pytest.fixture
def run(phone: Phone, a_class: AClass, row: dict[str, object]) -> RunDetails:
    """Ten times the mass, sent out of the phone's storage."""
    phone.ask("/bench/send", {**row, "shot_mass": "3400"})
    return stored(a_class)[0]


def press(phone: Phone, run: RunDetails, name: str, label: str) -> None:
    """Press a button of the question that stands at the run."""
    page = phone.open("/bench/runs").get_data(as_text=True)
    offered = re.findall(rf'<button name="{name}" value="([^"]*)">([^<]*)</button>', page)
    (value,) = [unescape(value) for value, said in offered if said == label]
    (revision,) = re.findall(r'name="revision" value="(\d+)"', page.split(f"/runs/{run.run_id}/answer")[1])[
        :1
    ]
    phone.send(f"/bench/runs/{run.run_id}/answer", {"key": new_key(), "revision": revision, name: value})


@on_both_databases
def test_the_phone_is_told_and_told_again_until_the_bench_has_answered(
    phone: Phone, a_class: AClass, row: dict[str, object]
) -> None:
    heavy = {**row, "shot_mass": "3400"}
    assert [phone.ask("/bench/send", heavy).json["saved"]["ask"] for _ in "12"] == [True, True]  # type: ignore[index]
    phone.open("/bench/run/all")
    assert 'data-ask="1 "' in phone.text, "the next run's page says so as well"
    press(phone, stored(a_class)[0], "as_typed", "It is right as typed")
    assert phone.path == "/bench/runs"
    assert "Run 1 stays as you read it." in phone.text
    assert ASKED not in phone.text
    assert phone.ask("/bench/send", heavy).json["saved"]["ask"] is False  # type: ignore[index]
    phone.open("/bench/run/all")
    assert 'data-ask=""' in phone.text
    assert [(kept.version, kept.entry.shot_mass.raw) for kept in stored(a_class)] == [(1, "3400")]


def test_a_likely_run_and_one_whose_reading_was_kept_before_leave_nothing_to_ask(
    phone: Phone, row: dict[str, object]
) -> None:
    phone.ask("/bench/send", row)
    phone.ask("/bench/send", {**row, "key": "f" * 32, "shot_mass": "3400", "kept": "shot_mass=3400 g"})
    phone.open("/bench/runs")
    assert "Run 2" in phone.text
    assert ASKED not in phone.text


def test_what_it_proposes_is_put_right_with_one_tap_and_the_first_reading_stays_in_the_history(
    phone: Phone, a_class: AClass, run: RunDetails
) -> None:
    assert HEAVY in phone.open("/bench/runs").get_data(as_text=True)
    press(phone, run, "take", "Yes, 340 g")
    assert "Run 1 is corrected." in phone.text
    assert ASKED not in phone.text
    (now,) = stored(a_class)
    assert (now.version, now.entry.shot_mass.raw, now.left_to_ask) == (2, "340", False)


def test_with_two_unlikely_readings_the_other_is_asked_about_before_anything_is_stored(
    phone: Phone, a_class: AClass, row: dict[str, object]
) -> None:
    swapped = {"start_temperature": "21.4", "end_temperature": "19.2"}
    phone.ask("/bench/send", {**row, "shot_mass": "3400", **swapped})
    phone.open("/bench/runs")
    assert HEAVY in phone.text
    assert SWAPPED in phone.text
    (run,) = stored(a_class)
    press(phone, run, "take", "Yes, 340 g")
    assert HEAVY not in phone.text
    assert SWAPPED in phone.text
    assert stored(a_class)[0].version == 1
    phone.take("Yes, exchange them", at=f"/bench/runs/{run.run_id}")
    phone.send(phone.path, phone.form())
    (now,) = stored(a_class)
    assert (now.entry.shot_mass.raw, now.entry.start_temperature.raw) == ("340", "19.2")
    assert not now.left_to_ask


def test_the_next_run_does_not_take_over_an_unasked_reading_as_if_it_had_been_kept(
    phone: Phone, run: RunDetails
) -> None:
    phone.open("/bench/run/weigh")
    assert phone.form()["shot_mass"] == "3400"
    phone.step()
    assert phone.path == "/bench/run/weigh"
    assert HEAVY in phone.text


@pytest.mark.parametrize("pressed", ["{}", '{"shot_mass": ["1", "g"]}', "\x00" * 9])
def test_nothing_but_what_is_proposed_can_be_put_in_its_place(
    phone: Phone, a_class: AClass, run: RunDetails, pressed: str
) -> None:
    phone.send(f"/bench/runs/{run.run_id}/answer", {"key": new_key(), "take": pressed})
    assert HEAVY in phone.text
    assert [kept.entry.shot_mass.raw for kept in stored(a_class)] == ["3400"]


def test_the_own_calculation_answers_nothing_and_a_correction_by_the_teacher_does(
    phone: Phone, a_class: AClass, run: RunDetails
) -> None:
    own = {"key": new_key(), "own_heat_capacity": "212"}
    phone.send(f"/bench/runs/{run.run_id}/own", dict(own))
    assert ASKED in phone.text
    correct_run(
        a_class.database,
        actor=a_class.teacher,
        run_id=run.run_id,
        key=new_key(),
        entry=an_entry(),
        reason="Looked at the balance",
        now=NOW,
    )
    phone.open("/bench/runs")
    assert ASKED not in phone.text


def test_in_a_pause_it_can_be_kept_and_after_the_class_nothing_is_asked(
    phone: Phone, a_class: AClass, run: RunDetails
) -> None:
    who = {"actor": a_class.teacher, "practical_id": a_class.practical_id, "now": NOW}
    pause_practical(a_class.database, **who)  # type: ignore[arg-type]
    phone.open("/bench/runs")
    assert "It is right as typed" in phone.text
    assert "Yes, 340 g" not in phone.text, "a paused class takes no correction in"
    finish_practical(a_class.database, **who)  # type: ignore[arg-type]
    phone.open("/bench/runs")
    assert ASKED not in phone.text
    phone.open("/bench/run/all")
    assert 'data-ask=""' in phone.text, "nothing leads to a question that is not asked"
    phone.send(f"/bench/runs/{run.run_id}/answer", {"key": new_key(), "as_typed": "all"})
    assert "This practical is finished" in phone.text
    assert stored(a_class)[0].left_to_ask


def test_another_bench_cannot_answer(phone: Phone, code: str, a_class: AClass, run: RunDetails) -> None:
    phone.join(code, 8)
    for pressed in ({"as_typed": "all"}, {"take": "{}"}):
        phone.send(f"/bench/runs/{run.run_id}/answer", {"key": KEY, **pressed})
        assert phone.page is not None
        assert phone.page.status_code == 404
    assert stored(a_class)[0].left_to_ask


def test_the_answers_address_opened_by_hand_leads_back_to_the_runs(phone: Phone, run: RunDetails) -> None:
    phone.open(f"/bench/runs/{run.run_id}/answer")
    assert phone.path == "/bench/runs"
    assert ASKED in phone.text


def test_a_run_set_aside_asks_no_more(phone: Phone, a_class: AClass, run: RunDetails) -> None:
    set_aside(
        a_class.database,
        actor=a_class.teacher,
        run_id=run.run_id,
        reason="Spilled",
        expected_revision=1,
        now=NOW,
    )
    phone.open("/bench/runs")
    assert ASKED not in phone.text
