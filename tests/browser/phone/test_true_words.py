"""What the phone says while a run cannot go: the true reason, and that it went once it did."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, expect

from app.practicals.benches.own_bench import acknowledge_safety
from app.practicals.benches.watch import release_bench
from app.practicals.lesson.states import finish_practical, pause_practical, resume_practical
from tests.browser.phone.phone import Phone, a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser
PAUSED = "The teacher has paused the class."


def who(phone: Phone) -> dict[str, object]:
    """The teacher of the phone's class."""
    return {
        "actor": phone.a_class.teacher,
        "practical_id": phone.a_class.practical_id,
        "now": datetime.now(UTC),
    }


def test_a_run_that_the_class_does_not_take_in_is_not_blamed_on_the_network_nor_the_other_way_round(
    phone: Phone,
) -> None:
    pause_practical(phone.served.database, **who(phone))  # type: ignore[arg-type]
    phone.send()
    phone.waits_for(PAUSED)
    assert "network" not in phone.page.inner_text("main")
    assert "stay on this phone until they are sent" in phone.page.inner_text("main")
    phone.context.set_offline(True)
    resume_practical(phone.served.database, **who(phone))  # type: ignore[arg-type]
    phone.page.click("#queue summary")
    phone.page.click("[data-now]")
    phone.waits_for("it is sent by itself once the network is back")
    assert PAUSED not in phone.said


def test_a_phone_that_its_teacher_ended_is_told_so_at_the_check(phone: Phone) -> None:
    phone.page.click("[data-go=back]")
    release_bench(phone.served.database, bench_number=7, end_phones=True, **who(phone))  # type: ignore[arg-type]
    phone.next()
    phone.waits_for("Your teacher has ended this phone's place at bench 7.")
    assert "No connection" not in phone.page.inner_text("main")
    assert phone.page.is_visible("[data-go=send]")


def test_a_phone_that_is_no_longer_joined_is_told_so_at_the_check(phone: Phone) -> None:
    phone.page.click("[data-go=back]")
    phone.context.clear_cookies(name=re.compile("bench"))
    phone.next()
    phone.waits_for("no longer joined to a bench")
    assert "No connection" not in phone.page.inner_text("main")
    assert phone.page.is_visible("[data-go=send]")


def test_a_run_that_went_by_itself_is_named_until_the_next_step(phone: Phone) -> None:
    phone.context.set_offline(True)
    phone.send()
    phone.waits_for("Not yet sent: 1.")
    phone.page.click("[data-next-run]")
    phone.context.set_offline(False)
    phone.waits_for("Saved as run 1.")
    assert phone.step == "start"
    phone.page.fill("#start_temperature", "19.6")
    phone.next()
    assert phone.said == ""


def test_the_list_of_runs_takes_in_the_run_that_went_while_it_was_open(phone: Phone) -> None:
    phone.context.route("**/bench/send", lambda route: route.abort())
    phone.send()
    phone.waits_for("Not yet sent: 1.")
    phone.go("/bench/runs")
    phone.waits_for("Nothing has been sent yet.")
    phone.context.unroute("**/bench/send")
    phone.page.click("#queue summary")
    phone.page.click("[data-now]")
    phone.page.wait_for_selector("#run-1")


def test_copied_is_said_of_the_text_that_was_copied_only(phone: Phone) -> None:
    phone.context.set_offline(True)
    phone.send()
    phone.waits_for("Not yet sent: 1.")
    phone.page.click("#queue summary")
    phone.page.click("[data-copy]")
    assert phone.page.inner_text("[data-copied]") != ""
    phone.send_another()
    phone.waits_for("Not yet sent: 2.")
    assert phone.page.inner_text("[data-copied]") == ""


def test_words_for_a_number_are_told_without_the_network_too(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        for _ in range(3):
            phone.page.click("[data-go=back]")
        phone.context.set_offline(True)
        for typed in ("🙂", "$&"):
            phone.page.fill("#start_temperature", typed)
            phone.page.click("[data-go=next]")
            phone.waits_for(f"“{typed}” is not a number.")
            assert phone.step == "start"
        phone.page.fill("#start_temperature", "١٩٫٢")
        phone.next()


def test_readings_of_another_class_are_told_as_such_though_the_bench_has_the_same_number(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        phone.context.set_offline(True)
        phone.send()
        phone.waits_for("Not yet sent: 1.")
        phone.page.evaluate(
            """() => {
              const name = Object.keys(localStorage).find((name) => name.startsWith("plumbfall-run-"));
              const row = { ...JSON.parse(localStorage.getItem(name)), bench: 987654, practical: 987654 };
              localStorage.setItem(name, JSON.stringify(row));
            }"""
        )
        phone.context.set_offline(False)
        phone.go("/bench/ours")
        phone.waits_for("these readings are from another class")
        assert "typed at bench 7" not in phone.page.inner_text("#queue")
        assert phone.page.locator("#queue li button").count() == 1
        assert phone.stored() == []


def test_a_run_sent_after_the_end_says_who_can_let_it_in_and_offers_no_next_one(phone: Phone) -> None:
    finish_practical(phone.served.database, **who(phone))  # type: ignore[arg-type]
    phone.send()
    expect(phone.page.locator("[data-sent-words]")).to_contain_text("ask the teacher to reopen it")
    expect(phone.page.locator("[data-next-run]")).to_be_hidden()
    assert phone.rows_kept() == 1


def test_an_old_notice_goes_with_the_next_step(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        now = datetime.now(UTC)
        acknowledge_safety(served.database, actor=phone.a_class.join(6), now=now)
        release_bench(served.database, bench_number=6, **who(phone))  # type: ignore[arg-type]
        phone.join(7)
        phone.go("/bench/ours")
        phone.page.fill("#number", "6")
        phone.page.click("[data-moving] button")
        notice = phone.page.get_by_text("This phone is now at bench 6")
        expect(notice).to_be_visible()
        phone.page.fill("#shot_mass", "340")
        phone.next()
        expect(notice).to_have_count(0)


def test_good_news_is_in_no_warning_box(phone: Phone) -> None:
    phone.context.set_offline(True)
    phone.send()
    phone.waits_for("Not yet sent: 1.")
    colour = "() => getComputedStyle(document.querySelector('#queue')).backgroundColor"
    warning = phone.page.evaluate(colour)
    phone.page.click("[data-next-run]")
    phone.context.set_offline(False)
    phone.waits_for("Saved as run 1.")
    assert phone.page.evaluate(colour) != warning
