"""A page is not left for a browser's error page, and what was typed comes along to the right bench."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Dialog, expect

from tests.browser.phone.phone import a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("way_out", ["footer nav a >> nth=0", "[data-leave]", "footer [lang=de]"])
def test_without_the_network_no_way_out_takes_the_page_away(
    browser: Browser, served: Served, way_out: str
) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        here = phone.page.url
        phone.page.fill("#shot_mass", "340")
        phone.context.set_offline(True)
        phone.page.click(way_out)
        phone.waits_for("that page cannot be opened")
        assert phone.page.url == here
        phone.next()
        assert phone.step == "tube", "the bench goes on working"
        phone.context.set_offline(False)
        phone.page.click(way_out)
        expect(phone.page.locator("#shot_mass")).to_have_count(0 if "nav" in way_out else 1)
        phone.page.wait_for_function(
            "here => location.href !== here || document.documentElement.lang === 'de'", arg=here
        )
        phone.go("/bench/run/weigh")
        assert phone.page.input_value("#shot_mass") == "340"


def test_a_computer_that_does_not_answer_is_tried_before_the_page_is_left(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.page.fill("#shot_mass", "340")
        phone.context.route("**/bench/**", lambda route: route.abort())
        phone.next()
        phone.page.click("footer nav a >> nth=0")
        phone.waits_for("that page cannot be opened")
        phone.context.unroute("**/bench/**")
        phone.page.click("footer nav a >> nth=0")
        phone.waits_for("Nothing has been sent yet.")


def test_a_reload_without_the_network_is_asked_about(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.page.fill("#shot_mass", "340")
        phone.context.set_offline(True)
        asked: list[str] = []

        def note_and_stay(dialog: Dialog) -> None:
            asked.append(dialog.type)
            dialog.dismiss()

        phone.page.on("dialog", note_and_stay)
        with phone.page.expect_event("dialog"):
            phone.page.evaluate("setTimeout(() => location.reload(), 0)")
        assert asked == ["beforeunload"]
        assert phone.page.input_value("#shot_mass") == "340"


@pytest.mark.parametrize("script", [True, False])
def test_what_was_typed_goes_along_when_a_wrong_bench_number_is_put_right(
    browser: Browser, served: Served, script: bool
) -> None:
    with a_phone(browser, served, java_script_enabled=script) as phone:
        phone.join(7)
        phone.page.fill("#shot_mass", "333")
        phone.page.click("[data-go=next]")
        phone.page.wait_for_selector("#tube_length:visible")
        phone.go("/bench/ours")
        phone.page.fill("#number", "8")
        phone.page.click("form[action*=move] button")
        phone.page.click("main button.main")
        phone.go("/bench/run/weigh")
        assert phone.page.inner_text(".whose").endswith("8")
        expect(phone.page.locator("#shot_mass")).to_have_value("333")


def test_a_corrected_temperature_may_go_below_zero_on_a_keypad_without_a_minus(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.type_run()
        phone.send()
        phone.waits_for("Saved as run 1")
        phone.go("/bench/runs")
        phone.page.click("text=Correct run 1")
        phone.page.fill("#start_temperature", "2")
        phone.page.click("[data-sign=start_temperature]")
        assert phone.page.input_value("#start_temperature") == "−2"


def test_back_past_the_beginning_of_the_next_run_scolds_nobody(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.type_run()
        phone.send()
        phone.waits_for("Saved as run 1")
        phone.page.click("[data-next-run]")
        phone.page.evaluate("history.back()")
        phone.page.wait_for_function("() => history.state.step === 'check'")
        assert phone.step == "start"
        assert not phone.page.is_visible("#start_temperature-problem")
        phone.page.evaluate("history.back()")
        phone.page.wait_for_selector('section[data-step="end"]:not([hidden])')
        phone.page.fill("#end_temperature", "21.7")
        for step in ("count", "start"):
            phone.page.click("[data-go=back]")
            phone.page.wait_for_selector(f'section[data-step="{step}"]:not([hidden])')
        phone.type_run(start="19.6", end="21.7")
        phone.send()
        phone.waits_for("Saved as run 2")
