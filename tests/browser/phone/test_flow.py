"""A bench at work with its phone: taps counted, nothing lost by Back or reload, counting with one thumb."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser

from app.practicals.benches.watch import benches_in
from tests.browser.phone.phone import a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser


def test_from_scanning_to_the_first_saved_run_in_at_most_eight_taps(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        taps = 0

        def tap(selector: str) -> None:
            nonlocal taps
            taps += 1
            phone.page.tap(selector)

        def type_and_go_on(text: str, following: str) -> None:
            if text:
                phone.page.keyboard.type(text)
            tap("[data-go=next]")
            phone.page.wait_for_selector(f'section[data-step="{following}"]:not([hidden])')

        phone.go(f"/j/{phone.a_class.practical.join_code}")
        tap('button[value="7"]')
        tap("main button.main")
        phone.page.wait_for_selector("#run")
        type_and_go_on("340", "tube")
        type_and_go_on("", "start")
        type_and_go_on("19.2", "count")
        phone.page.focus("#inversions")  # a tap into the field that the count is typed into
        taps += 1
        phone.page.keyboard.type("50")
        phone.page.keyboard.press("Enter")
        phone.page.wait_for_selector('section[data-step="end"]:not([hidden])')
        phone.page.keyboard.type("21.4")
        phone.page.keyboard.press("Enter")
        phone.page.wait_for_selector("[data-go=send]:not([hidden])")
        tap("[data-go=send]")
        phone.waits_for("Saved as run 1")
        assert taps <= 8
        assert len(phone.stored()) == 1


def test_the_phones_own_back_button_and_a_reload_lose_nothing(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.page.fill("#shot_mass", "340")
        phone.next()
        phone.page.fill("#tube_length", "98")
        phone.next()
        phone.page.fill("#start_temperature", "19.2")
        phone.waits_for("Read at")
        phone.page.go_back()
        assert phone.step == "tube"
        assert phone.page.input_value("#tube_length") == "98"
        phone.page.go_forward()
        assert phone.step == "start"
        phone.page.reload()
        assert phone.step == "start", "a reload stays where Forward went"
        assert phone.page.input_value("#start_temperature") == "19.2"
        phone.page.reload()
        assert phone.step == "start"
        assert phone.page.input_value("#shot_mass") == "340"
        assert phone.page.input_value("#start_temperature") == "19.2"
        phone.page.fill("#start_temperature", "19.4")
        phone.page.reload()
        assert phone.page.input_value("#start_temperature") == "19.4"


def test_an_impossible_reading_is_told_at_its_step_and_stays(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.page.click("[data-go=next]")
        phone.waits_for("Nothing was typed.")
        phone.page.fill("#shot_mass", "3.4.0")
        phone.page.click("[data-go=next]")
        phone.waits_for("more than one decimal mark")
        assert phone.page.input_value("#shot_mass") == "3.4.0"
        assert phone.page.get_attribute("#shot_mass", "aria-invalid") == "true"
        phone.page.fill("#shot_mass", "3400")
        phone.page.click("[data-go=next]")
        phone.waits_for("did you mean 340 g?")
        phone.page.click("[data-as-typed]")
        phone.page.wait_for_selector('section[data-step="tube"]:not([hidden])')


def test_a_negative_temperature_needs_no_minus_key(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.page.fill("#shot_mass", "340")
        phone.next()
        phone.next()
        phone.page.fill("#start_temperature", "2.5")
        phone.page.click('[data-sign="start_temperature"]')
        assert phone.page.input_value("#start_temperature") == "−2.5"
        phone.page.click('[data-sign="start_temperature"]')
        assert phone.page.input_value("#start_temperature") == "2.5"


def test_counting_by_tapping_outlives_a_reload_and_reaches_the_desk(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.page.add_init_script(
            "navigator.vibrate = (pattern) => { (window.felt ||= []).push(pattern); return true; };"
        )
        phone.join()
        phone.page.fill("#shot_mass", "340")
        phone.next()
        phone.next()
        phone.page.fill("#start_temperature", "19.2")
        phone.next()
        phone.page.click("[data-count]")
        phone.count_falls(11)
        phone.page.click("[data-undo]")
        assert phone.page.inner_text(".tap b") == "10"
        assert phone.page.inner_text("[data-left]") == "to go: 40"
        assert phone.page.evaluate("() => window.felt.length") == 1
        assert phone.page.get_attribute("[data-sound]", "aria-pressed") == "false"
        phone.page.reload()
        assert phone.page.inner_text(".tap b") == "10"
        phone.page.wait_for_function("() => document.activeElement.classList.contains('tap')")
        phone.page.keyboard.press("Space")
        assert phone.page.inner_text(".tap b") == "11"
        phone.count_falls(39)
        assert phone.page.inner_text("[data-left]") == "Target reached"
        phone.page.click("[data-done]")
        assert phone.page.input_value("#inversions") == "50"
        with served.database.reading() as session:
            (bench,) = benches_in(session, phone.a_class.practical_id)
        assert bench.progress == "counting"
        assert bench.counted_so_far in range(10, 51)


def test_the_desk_sees_the_bench_move_along(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.page.fill("#shot_mass", "340")
        phone.next()
        phone.next()
        phone.page.fill("#start_temperature", "19.2")
        with phone.page.expect_response(lambda answer: "start+read" in (answer.request.post_data or "")):
            phone.next()
        with served.database.reading() as session:
            (bench,) = benches_in(session, phone.a_class.practical_id)
        assert bench.progress == "start read"
        assert (datetime.now(UTC) - bench.last_seen_at).total_seconds() < 60


def test_a_phone_without_script_saves_a_run(browser: Browser, served: Served) -> None:
    with a_phone(browser, served, java_script_enabled=False) as phone:
        phone.go(f"/j/{phone.a_class.practical.join_code}")
        phone.page.click('button[value="7"]')
        phone.page.click("main button.main")
        for field, text in (
            ("shot_mass", "340"),
            ("", ""),
            ("start_temperature", "19.2"),
            ("inversions", "50"),
            ("end_temperature", "21.4"),
        ):
            if field:
                phone.page.fill(f"#{field}", text)
            phone.page.click("[data-go=next]")
        phone.waits_for("2.2 K")
        phone.page.click("[data-go=send]")
        phone.waits_for("Saved as run 1.")
        assert not phone.page.is_visible("[data-count]")
        assert len(phone.stored()) == 1


def test_keyboard_alone_is_enough(browser: Browser, served: Served) -> None:
    with a_phone(browser, served, has_touch=False, is_mobile=False) as phone:
        phone.join()
        for text in ("340", None, "19.2"):
            here = phone.step
            if text:
                phone.page.keyboard.type(text)
                phone.page.keyboard.press("Enter")
            else:
                phone.page.focus("#tube_length")
                phone.page.keyboard.press("Enter")
            phone.page.wait_for_selector(f'section[data-step="{here}"]', state="hidden")
        phone.page.keyboard.press("Tab")
        phone.page.keyboard.press("Enter")
        assert phone.page.is_visible(".counting")
        phone.page.keyboard.press("Space")
        phone.page.keyboard.press("Escape")
        assert phone.page.input_value("#inversions") == "1"
