"""A likely reading taken up with one tap, with the page's script: online, offline, in steps, on one page."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.browser.phone.phone import Phone, a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser
SWAPPED = {"start_temperature": "21,4", "end_temperature": "19.2"}


def typed_up_to_the_end(phone: Phone) -> None:
    """Start and end typed into each other's field; the next tap looks at them."""
    phone.join()
    phone.page.fill("#shot_mass", "340")
    phone.next()
    phone.next()
    phone.page.fill("#start_temperature", SWAPPED["start_temperature"])
    phone.next()
    phone.page.fill("#inversions", "50")
    phone.next()
    phone.page.fill("#end_temperature", SWAPPED["end_temperature"])


def temperatures(phone: Phone) -> tuple[str, str]:
    """Start and end as they stand in their fields."""
    return phone.page.input_value("#start_temperature"), phone.page.input_value("#end_temperature")


def stored_temperatures(phone: Phone) -> list[tuple[str, str]]:
    """What the records hold, as typed."""
    return [(run.entry.start_temperature.raw, run.entry.end_temperature.raw) for run in phone.stored()]


@pytest.mark.parametrize(
    "cut",
    [
        "never",
        pytest.param("before the end is looked at", marks=pytest.mark.long),
        "once it was asked",
    ],
)
def test_temperatures_are_exchanged_with_one_tap_online_and_offline(
    browser: Browser, served: Served, cut: str
) -> None:
    with a_phone(browser, served) as phone:
        typed_up_to_the_end(phone)
        phone.context.set_offline(cut == "before the end is looked at")
        phone.page.click("[data-go=next]")
        phone.waits_for("are the two swapped?")
        assert "21.4 °C" in phone.page.inner_text(".asked")
        assert phone.step == "end"
        phone.context.set_offline(cut != "never")
        phone.page.click("[data-take]")
        phone.page.wait_for_selector("[data-go=send]:not([hidden])")
        assert temperatures(phone) == ("19.2", "21,4"), "as they were typed"
        assert phone.page.locator("[data-check] .asked").count() == 0
        phone.send()
        phone.context.set_offline(False)
        phone.waits_for("Saved as run 1")
        assert stored_temperatures(phone) == [("19.2", "21,4")]


@pytest.mark.parametrize(
    "offline", [pytest.param(False, marks=pytest.mark.long), True], ids=["online", "offline"]
)
def test_the_one_page_form_asks_at_the_check_and_sends_only_once_it_is_answered(
    browser: Browser, served: Served, offline: bool
) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        phone.go("/bench/run/all")
        for name, text in SWAPPED.items():
            phone.page.fill(f"#{name}", text)
        phone.context.set_offline(offline)
        phone.page.click("[data-go=next]")
        phone.page.wait_for_selector("[data-check] .asked")
        assert not phone.page.is_visible("[data-go=send]")
        phone.page.click("[data-as-typed]")
        phone.page.wait_for_selector("[data-go=send]:not([hidden])")
        assert temperatures(phone) == ("21,4", "19.2"), "kept is kept"
        phone.page.click("[data-go=back]")
        phone.page.fill("#end_temperature", "19.1")
        phone.page.click("[data-go=next]")
        phone.page.click("[data-check] [data-take]")
        phone.page.wait_for_selector("[data-go=send]:not([hidden])")
        assert temperatures(phone) == ("19.1", "21,4")


def test_a_run_that_is_far_below_its_start_is_not_called_exchanged_without_the_network(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        typed_up_to_the_end(phone)
        phone.page.fill("#end_temperature", "2.2")  # the warming, perhaps
        phone.context.set_offline(True)
        phone.next()
        assert phone.step == "check"
        assert phone.page.locator(".asked").count() == 0


def test_a_mass_is_put_right_with_one_tap_and_what_was_typed_meanwhile_is_not_replaced(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.page.fill("#shot_mass", "3400")
        phone.page.click("[data-go=next]")
        phone.waits_for("did you mean 340 g?")
        phone.page.keyboard.press("Enter")
        assert phone.page.input_value("#shot_mass") == "3400", "a second press of Enter answers nothing"
        phone.page.fill("#shot_mass", "4500")
        phone.page.click("[data-take]")
        phone.waits_for("did you mean 450 g?")
        assert phone.page.input_value("#shot_mass") == "4500"
        phone.page.click("[data-take]")
        phone.page.wait_for_selector('section[data-step="tube"]:not([hidden])')
        phone.page.click("[data-go=back]")
        assert phone.page.input_value("#shot_mass") == "450"
