"""Everything on one page, with the script: bad readings are told at their fields, and Back comes back."""

from __future__ import annotations

from decimal import Decimal

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.phone.phone import a_phone
from tests.serving import Served
from tests.web.phone.phone import READINGS

pytestmark = pytest.mark.browser


def test_an_impossible_reading_is_told_at_its_field_and_everything_typed_stays(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        errors: list[str] = []
        phone.page.on("pageerror", lambda error: errors.append(str(error)))
        phone.join()
        phone.go("/bench/run/all")
        typed = {
            **READINGS,
            "shot_mass": "-5",
            "room_temperature": "warm",
            "start_temperature": "\U0001f600",
            "inversions": "12,5",
        }
        phone.page.click("summary:visible")
        for name, text in typed.items():
            phone.page.fill(f"#{name}", text)
        phone.page.click("summary:visible")
        phone.page.click("[data-go=next]")
        expect(phone.page.locator("#shot_mass-problem")).to_contain_text("cannot be negative")
        expect(phone.page.locator("#shot_mass")).to_be_focused()
        expect(phone.page.locator("#start_temperature-problem")).to_contain_text("is not a number")
        expect(phone.page.locator("#room_temperature-problem")).to_be_visible()
        expect(phone.page.locator("#inversions-problem")).to_be_visible()
        assert {name: phone.page.input_value(f"#{name}") for name in typed} == typed
        assert errors == []


def test_a_keypad_without_a_minus_has_a_button_for_one(browser: Browser, served: Served) -> None:
    """Readings below zero: shot that was cooled in a freezing mixture, a °F scale, a cold yard."""
    below = {"start_temperature": "-2,4", "end_temperature": "-0,2", "room_temperature": "-3"}
    with a_phone(browser, served) as phone:
        phone.join()
        phone.go("/bench/run/all")
        for summary in phone.page.query_selector_all("summary:visible"):
            summary.click()
        for name, text in {**READINGS, **below}.items():
            phone.page.fill(f"#{name}", text.lstrip("-"))
        buttons = phone.page.locator("[data-sign]:visible")
        named = {buttons.nth(place).get_attribute("data-sign") for place in range(buttons.count())}
        assert named == set(below)
        for name in below:
            button = phone.page.locator(f"[data-sign={name}]")
            button.click()
            assert phone.page.input_value(f"#{name}").replace("\u2212", "-") == below[name]
            button.click()
            assert phone.page.input_value(f"#{name}") == below[name].lstrip("-"), (
                "a second press takes it back"
            )
            button.click()
        phone.page.click("[data-go=next]")
        send = phone.page.locator("[data-go=send]:visible")
        asked = phone.page.locator("[data-as-typed]:visible")
        for _ in below:
            send.or_(asked).first.wait_for()
            if asked.count():
                asked.first.click()
        send.click()
        phone.waits_for("Saved as run 1")
        (run,) = phone.stored()
        assert (run.entry.start_temperature.value, run.entry.end_temperature.value) == (
            Decimal("-2.4"),
            Decimal("-0.2"),
        )


def test_back_from_the_check_comes_back_to_the_one_page(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        errors: list[str] = []
        phone.page.on("pageerror", lambda error: errors.append(str(error)))
        phone.join()
        phone.go("/bench/run/all")
        for name, text in READINGS.items():
            phone.page.fill(f"#{name}", text)
        phone.page.click("[data-go=next]")
        phone.page.wait_for_selector("[data-go=send]:not([hidden])")
        phone.page.click("[data-go=back]")
        expect(phone.page.locator("h1:visible")).to_be_focused()
        phone.page.fill("#end_temperature", "21.6")
        phone.page.click("[data-go=next]")
        phone.page.wait_for_selector("[data-go=send]:not([hidden])")
        phone.send()
        phone.waits_for("Saved as run 1")
        assert phone.stored()[0].entry.end_temperature.raw == "21.6"
        assert errors == []
