"""A likely reading taken up with one tap, by post and reload; never anything but what the button said."""

from __future__ import annotations

import pytest

from tests.practicals.a_class import AClass
from tests.web.phone.phone import READINGS, Phone
from tests.web.phone.test_run_without_script import all_at_once, stored

EXCHANGED = {"start_temperature": "21,4", "end_temperature": "19.2"}


def test_exchanged_temperatures_are_exchanged_with_one_tap_on_the_one_page_form(
    phone: Phone, a_class: AClass
) -> None:
    all_at_once(phone, **EXCHANGED)
    phone.take("Yes, exchange them")
    assert phone.path == "/bench/run/check"
    assert "are the two swapped?" not in phone.text
    assert "2.2 K" in phone.text
    form = phone.form()
    assert (form["start_temperature"], form["end_temperature"]) == ("19.2", "21,4"), "as typed, comma and all"
    assert stored(a_class) == [], "it is sent by its own button"
    phone.step("send")
    (run,) = stored(a_class)
    assert (run.entry.start_temperature.raw, run.entry.end_temperature.raw) == ("19.2", "21,4")


def test_exchanged_temperatures_are_exchanged_at_the_end_step_and_can_be_changed_back(phone: Phone) -> None:
    phone.open("/bench/")
    for typed in ({"shot_mass": "340"}, {}, {"start_temperature": "21,4"}, {"inversions": "50"}):
        phone.step(**typed)
    phone.step(end_temperature="19.2")
    assert phone.path == "/bench/run/end"
    phone.take("Yes, exchange them")
    assert phone.path == "/bench/run/check"
    phone.open("/bench/run/start")
    assert phone.form()["start_temperature"] == "19.2"
    assert phone.form()["end_temperature"] == "21,4"


def test_each_reading_keeps_its_unit_when_they_are_exchanged(phone: Phone, a_class: AClass) -> None:
    all_at_once(phone, start_temperature="70.5", start_temperature_unit="°F", end_temperature="19.5 °C")
    phone.take("Yes, exchange them")
    phone.step("send")
    (run,) = stored(a_class)
    assert (run.entry.start_temperature.raw, run.entry.start_temperature.unit) == ("19.5 °C", "°C")
    assert (run.entry.end_temperature.raw, run.entry.end_temperature.unit) == ("70.5", "°F")


def test_a_mass_that_was_asked_about_is_put_right_with_one_tap(phone: Phone) -> None:
    phone.open("/bench/run/weigh")
    phone.step(shot_mass="3400")
    phone.take("Yes, 340 g")
    assert phone.path == "/bench/run/tube"
    phone.step("back")
    assert phone.form()["shot_mass"] == "340"


def test_what_was_typed_after_the_question_is_asked_about_anew_and_not_replaced(phone: Phone) -> None:
    phone.open("/bench/run/weigh")
    phone.step(shot_mass="3400")
    phone.take("Yes, 340 g", shot_mass="4500")
    assert phone.path == "/bench/run/weigh"
    assert phone.form()["shot_mass"] == "4500"
    assert "did you mean 450 g?" in phone.text


@pytest.mark.parametrize("pressed", ["{}", "", '{"shot_mass": ["1", "g"]}', "not one of ours", "\x00" * 9])
def test_nothing_but_what_is_proposed_can_be_taken_up(phone: Phone, pressed: str) -> None:
    phone.open("/bench/run/weigh")
    phone.step(shot_mass="3400")
    phone.send(phone.path, {**phone.form(), "take": pressed, "go": "next"})
    assert phone.form()["shot_mass"] == "3400"
    assert "did you mean 340 g?" in phone.text


def test_a_correction_shows_the_reading_taken_up_before_it_is_stored(phone: Phone, a_class: AClass) -> None:
    all_at_once(phone)
    phone.step("send")
    phone.open(f"/bench/runs/{stored(a_class)[0].run_id}")
    phone.send(phone.path, {**phone.form(), **EXCHANGED})
    phone.take("Yes, exchange them")
    assert (phone.form()["start_temperature"], phone.form()["end_temperature"]) == ("19.2", "21,4")
    assert stored(a_class)[0].version == 1
    phone.send(phone.path, phone.form())
    (run,) = stored(a_class)
    assert (run.version, run.entry.end_temperature.raw) == (2, "21,4")


@pytest.mark.parametrize(
    ("language", "label"),
    [("es", "Sí, intercambiarlos"), ("fr", "Oui, les échanger"), ("de", "Ja, tauschen")],
)
def test_the_tap_is_offered_in_the_readers_language(phone: Phone, language: str, label: str) -> None:
    phone.client.set_cookie("plumbfall-language", language)
    all_at_once(phone, **{**READINGS, **EXCHANGED})
    phone.take(label)
    assert "2,2 K" in phone.text
