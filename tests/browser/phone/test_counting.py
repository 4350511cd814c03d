"""Counting by tapping: what the phone says, feels and keeps awake for, and phones that can do neither."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser

from app.practicals.lesson.details import BenchPlanLine
from app.practicals.lesson.plan import change_plan
from tests.browser.phone.phone import Phone, a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser

# What the page asks of the phone is written down on its way to the real functions.
RECORDER = """(() => {
  window.felt = []; window.awake = []; window.locks = [];
  const vibrate = navigator.vibrate.bind(navigator);
  const shown = () => document.querySelector(".tap b").textContent;
  const request = navigator.wakeLock.request.bind(navigator.wakeLock);
  navigator.vibrate = (pattern) => { felt.push([shown(), vibrate(pattern)]); };
  navigator.wakeLock.request = async (type) => {
    awake.push("asked for the " + type);
    const lock = await request(type);
    awake.push("held"); locks.push(lock);
    lock.addEventListener("release", () => awake.push("released"));
    return lock;
  };
})()"""
LATE = """(() => {
  const soon = navigator.wakeLock.request;
  navigator.wakeLock.request = (type) => new Promise((done) => { window.grant = () => done(soon(type)); });
})()"""
NEITHER = """(() => {
  delete Navigator.prototype.vibrate; delete Navigator.prototype.wakeLock;
})()"""
HELD = "(times) => window.awake.filter((word) => word === 'held').length === times"


def stand_at_the_count(phone: Phone, target: int = 50) -> None:
    """Up to the step where the tube is tipped."""
    # 0.04 K a fall: what so many falls usually give.
    phone.stand_at_the_check(inversions=str(target), end_temperature=f"{19.2 + 0.04 * target:.1f}")
    phone.page.click("[data-go=back]")
    phone.page.click("[data-go=back]")
    phone.page.fill("#inversions", "")
    phone.page.click("[data-count]")


def hide(phone: Phone, hidden: bool) -> None:
    """The page goes behind another one, or comes back: this browser shows every page it has. Behind another
    one a page loses its lock (Screen Wake Lock API, W3C)."""
    phone.page.evaluate(
        """async (hidden) => {
          if (hidden) await Promise.all((window.locks || []).map((lock) => lock.release()));
          Object.defineProperty(document, "hidden", { value: hidden, configurable: true });
          document.dispatchEvent(new Event("visibilitychange"));
        }""",
        hidden,
    )


def test_the_phone_shakes_at_every_ten_and_at_the_target(browser: Browser, served: Served) -> None:
    with a_phone(browser, served, a_class=served.a_class(inversions=25)) as phone:
        phone.page.add_init_script(RECORDER)
        stand_at_the_count(phone, 25)
        phone.count_falls(31)
        assert phone.page.evaluate("() => felt") == [["10", True], ["20", True], ["25", True], ["30", True]]


def test_the_screen_is_kept_awake_while_counting_and_only_then(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.page.add_init_script(RECORDER)
        stand_at_the_count(phone)
        phone.page.wait_for_function(HELD, arg=1)
        hide(phone, True)
        hide(phone, False)
        phone.page.wait_for_function(HELD, arg=2)
        phone.page.click("[data-done]")
        phone.page.wait_for_function(
            "() => awake.filter((word) => word === 'released').length === 2", timeout=5_000
        )
        assert set(phone.page.evaluate("() => awake")) == {"asked for the screen", "held", "released"}
        hide(phone, True)
        hide(phone, False)
        assert phone.page.evaluate("() => awake.length") == 6, "nothing more once counting is over"


def test_a_lock_that_comes_after_done_was_pressed_is_given_back(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.page.add_init_script(RECORDER)
        phone.page.add_init_script(LATE)
        stand_at_the_count(phone)
        phone.page.click("[data-done]")
        phone.page.evaluate("() => grant()")
        phone.page.wait_for_function("() => awake.includes('released')", timeout=5_000)


@pytest.mark.parametrize("way", [pytest.param("removed", marks=pytest.mark.long), "plain http"])
def test_a_phone_that_can_do_neither_counts_all_the_same_and_says_so(
    browser: Browser, served: Served, way: str
) -> None:
    with a_phone(browser, served) as phone:
        faults: list[str] = []
        phone.page.on("pageerror", lambda fault: faults.append(str(fault)))
        if way == "removed":
            phone.page.add_init_script(NEITHER)
        else:
            phone.served = Served(
                served.address.replace("127.0.0.1", "school.test"),
                served.database,
                served.folder,
                served.process,
            )
        stand_at_the_count(phone)
        assert phone.page.evaluate("() => 'wakeLock' in navigator") is False
        phone.waits_for("The screen may go dark here")
        phone.count_falls(10)
        hide(phone, True)
        hide(phone, False)
        assert phone.page.inner_text(".tap b") == "10"
        phone.page.click("[data-done]")
        assert phone.page.input_value("#inversions") == "10"
        assert faults == []


def test_at_the_target_the_words_say_what_to_do_now(browser: Browser, served: Served) -> None:
    with a_phone(browser, served, a_class=served.a_class(inversions=6)) as phone:
        stand_at_the_count(phone, 6)
        phone.count_falls(5)
        assert phone.page.inner_text("[data-do]") == "Tap for each fall"
        phone.count_falls(1)
        assert phone.page.inner_text("[data-left]") == "Target reached"
        assert phone.page.inner_text("[data-do]").startswith("Stop tipping. Press Done")
        assert "One more fall" in phone.page.inner_text(".tempo")
        phone.count_falls(1)
        assert phone.page.inner_text("[data-left]") == "beyond the target: 1"
        phone.page.click("[data-undo]")
        phone.page.click("[data-undo]")
        assert phone.page.inner_text("[data-do]") == "Tap for each fall"
        assert "One more fall" not in phone.page.inner_text(".tempo")
        phone.count_falls(2)
        phone.page.click("[data-done]")
        phone.page.wait_for_selector('section[data-step="end"]:not([hidden])')
        assert phone.page.input_value("#inversions") == "7"
        phone.page.click("[data-go=back]")
        assert phone.step == "count", "the count can still be changed"


def test_a_thumb_that_slips_onto_back_leaves_the_count_and_its_step_as_they_are(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        stand_at_the_count(phone)
        phone.count_falls(3)
        phone.page.go_back()
        phone.count_falls(2)
        phone.page.reload()
        phone.page.wait_for_selector(".counting:not([hidden])")
        phone.page.go_back()
        assert phone.page.inner_text(".tap b") == "5"
        phone.count_falls(45)
        phone.page.click("[data-done]")
        phone.page.wait_for_selector('section[data-step="end"]:not([hidden])')
        assert phone.page.input_value("#inversions") == "50"
        phone.page.go_back()
        phone.page.wait_for_selector('section[data-step="count"]:not([hidden])')


def test_the_target_follows_the_run_without_a_reload_and_counts_runs_that_wait(phone: Phone) -> None:
    """The plan gives the second run another count; the phone has no network meanwhile."""
    given = BenchPlanLine(8, inversions=50, second_inversions=25)
    change_plan(
        phone.served.database,
        actor=phone.a_class.teacher,
        practical_id=phone.a_class.practical_id,
        plan=replace(phone.a_class.practical.plan, bench_plans=(given,)),
        now=datetime.now(UTC),
    )
    phone.stand_at_the_check(number=8)
    target = phone.page.locator("[data-target]")
    assert target.text_content() == "50"
    phone.context.set_offline(True)
    phone.send()
    phone.page.click("[data-next-run]")
    assert target.text_content() == "25"
    phone.page.fill("#start_temperature", "19.5")
    phone.next()
    phone.page.click("[data-count]")
    phone.count_falls(1)
    assert "24" in phone.page.inner_text("[data-left]")
    phone.context.set_offline(False)
    phone.page.click("[data-done]")
    phone.lets_go_of_everything()
    phone.go("/bench/run/count")
    assert target.text_content() == "25"
