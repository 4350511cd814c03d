"""Hurried fingers: a second tap presses nothing of the next screen, and is no fall; a typed count stays."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Locator, expect

from tests.browser.phone.phone import Phone, a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser

UNDER = """([left, top]) => {
  const under = document.createElement("button");
  Object.assign(under, { type: "button", id: "under" });
  const style = { position: "fixed", left: left + "px", top: top + "px", padding: "2rem", zIndex: -1 };
  Object.assign(under.style, style);
  under.addEventListener("click", () => { under.textContent += "pressed"; });
  document.body.append(under);
  addEventListener("click", () => { under.style.zIndex = 9; }, { once: true });
}"""
"""Something else comes up at that place with the first tap, as a language or a link does."""
SETTLED = "() => !document.documentElement.classList.contains('still')"
HELD = """(() => {
  const later = window.setTimeout.bind(window), ends = [];
  window.setTimeout = (act, wait, ...more) =>
    (wait === 400 ? ends.push(act) : later(act, wait, ...more));
  window.settle = () => { window.setTimeout = later; ends.forEach((act) => act()); };
})()"""
"""The moment after a change of screen lasts until the test ends it, however busy the machine is."""


def middle(button: Locator) -> tuple[float, float]:
    box = button.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def tap_twice(phone: Phone, selector: str) -> tuple[float, float]:
    """Two taps of one finger, at the place where the button is."""
    phone.page.wait_for_function(SETTLED)
    place = middle(phone.page.locator(selector).first)
    phone.page.evaluate(HELD)
    phone.page.touchscreen.tap(*place)
    phone.page.touchscreen.tap(*place)
    return place


def settle(phone: Phone) -> None:
    phone.page.evaluate("() => window.settle()")


def at_the_count(phone: Phone) -> None:
    phone.stand_at_the_check()
    phone.page.click("[data-go=back]")
    phone.page.click("[data-go=back]")
    phone.page.wait_for_selector('section[data-step="count"]:not([hidden])')


@pytest.mark.parametrize(
    "pressed", ["[data-go=send]", pytest.param("[data-go=back]", marks=pytest.mark.long)]
)
def test_a_second_tap_presses_nothing_that_came_up_in_its_place(
    browser: Browser, served: Served, pressed: str
) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        # The class's picture comes after Send, and brings a moment of its own.
        phone.page.route("**/bench/class", lambda route: route.abort())
        left, top = middle(phone.page.locator(pressed))
        phone.page.evaluate(UNDER, [left - 20, top - 20])
        place = tap_twice(phone, pressed)
        phone.page.wait_for_selector('section[data-step="check"]', state="hidden")
        settle(phone)
        assert phone.page.inner_text("#under") == ""
        phone.page.touchscreen.tap(*place)
        assert phone.page.inner_text("#under") == "pressed", "another tap is meant"


def test_the_tap_that_opens_the_counter_is_no_fall(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        at_the_count(phone)
        tap_twice(phone, "[data-count]")
        phone.page.wait_for_selector(".counting:not([hidden])")
        assert phone.page.inner_text(".tap b") == "0"
        settle(phone)
        phone.count_falls(1)
        assert phone.page.inner_text(".tap b") == "1"


def test_done_pressed_twice_leaves_language_and_page_as_they_are(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        at_the_count(phone)
        phone.page.fill("#inversions", "")
        phone.page.click("[data-count]")
        phone.count_falls(2)
        where = phone.page.url
        tap_twice(phone, "[data-done]")
        expect(phone.page.locator("#inversions")).to_be_focused()
        settle(phone)
        assert phone.page.url == where
        assert phone.page.get_attribute("html", "lang") == "en"
        assert (phone.step, phone.page.input_value("#inversions")) == ("count", "2")


def test_a_second_tap_does_not_say_that_an_unlikely_reading_is_right(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.page.fill("#shot_mass", "3400")
        tap_twice(phone, "[data-go=next]")
        question = phone.page.locator("[data-as-typed]")
        question.wait_for()
        phone.page.mouse.click(*middle(question))
        settle(phone)
        assert question.is_visible(), "the tap came too soon to have been meant"
        question.click()
        phone.page.wait_for_selector('section[data-step="tube"]:not([hidden])')


def test_a_page_that_has_just_come_takes_no_second_tap(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.page.add_init_script(HELD)
        phone.go(f"/j/{phone.a_class.practical.join_code}")
        assert phone.page.evaluate("() => document.documentElement.className") == "still"
        phone.page.mouse.click(*middle(phone.page.locator('button[value="7"]')))
        settle(phone)
        assert phone.page.is_visible('button[value="7"]')


def test_two_taps_in_quick_succession_are_one_fall(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        at_the_count(phone)
        phone.page.click("[data-count]")
        phone.page.evaluate("() => { performance.now = () => window.at || 0; }")
        for at, counted in ((1000, 1), (1249, 1), (1251, 2), (1400, 2), (1502, 3)):
            phone.page.evaluate("(at) => { window.at = at; }", at)
            phone.page.tap(".tap")
            assert phone.page.inner_text(".tap b") == str(counted), f"after the tap at {at} ms"


@pytest.mark.parametrize("chosen", ["3", pytest.param("50", marks=pytest.mark.long)])
def test_a_typed_count_is_replaced_only_if_the_bench_says_so(
    browser: Browser, served: Served, chosen: str
) -> None:
    with a_phone(browser, served) as phone:
        at_the_count(phone)
        phone.page.click("[data-count]")
        phone.count_falls(3)
        phone.page.click("[data-done]")
        phone.waits_for("You typed 50, the counter says 3. Which is right?")
        assert phone.page.input_value("#inversions") == "50"
        phone.page.get_by_role("button", name=f"{chosen} is right", exact=True).click()
        assert phone.page.input_value("#inversions") == chosen
        assert not phone.page.is_visible(".asked")
        assert phone.step == "count"


def test_the_counters_own_count_goes_on_without_asking(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        at_the_count(phone)
        phone.page.fill("#inversions", "")
        for counted in ("2", "4"):
            phone.page.click("[data-count]")
            phone.count_falls(2)
            phone.page.click("[data-done]")
            assert phone.page.input_value("#inversions") == counted
            phone.page.reload()
        assert not phone.page.is_visible(".asked")


def test_at_the_target_a_typed_count_is_asked_about_before_the_end_is_read(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served, a_class=served.a_class(inversions=6)) as phone:
        phone.stand_at_the_check(inversions="5", end_temperature="19.5")
        phone.page.click("[data-go=back]")
        phone.page.click("[data-go=back]")
        phone.page.click("[data-count]")
        phone.count_falls(6)
        phone.page.click("[data-done]")
        phone.page.get_by_role("button", name="6 is right", exact=True).click()
        phone.page.wait_for_selector('section[data-step="end"]:not([hidden])')
        assert phone.page.input_value("#inversions") == "6"
