"""The network cut at every step of sending: each run stored exactly once, the phone's words always true."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Browser, Dialog, Route

from tests.browser.phone.phone import NOTHING_KEPT, Phone, a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser
SEND = "**/bench/send"
WAITING = "Not yet sent: 1."


def sent_once(phone: Phone) -> None:
    """One run in the records, none on the phone, and the phone says which run it is."""
    phone.waits_for("Saved as run 1")
    phone.lets_go_of_everything()
    assert [run.number for run in phone.stored()] == [1]


def test_with_the_network_up(phone: Phone) -> None:
    phone.send()
    sent_once(phone)


def test_cut_before_sending(phone: Phone) -> None:
    phone.context.set_offline(True)
    phone.send()
    phone.waits_for(WAITING)
    phone.waits_for("Kept on this phone")
    assert phone.stored() == []
    phone.context.set_offline(False)
    sent_once(phone)


def test_cut_from_the_first_step_on(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.context.set_offline(True)
        phone.type_run()
        phone.waits_for("this will be checked when it is sent")
        phone.send()
        phone.waits_for(WAITING)
        phone.send_another()
        phone.waits_for("Not yet sent: 2.")
        assert phone.stored() == []
        phone.context.set_offline(False)
        phone.waits_for("Saved as run 2")
        assert [run.entry.start_temperature.raw for run in phone.stored()] == ["19.2", "19.6"]
        assert phone.rows_kept() == 0


def test_an_unlikely_reading_that_nobody_could_ask_about_is_asked_about_once_it_is_in(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.context.set_offline(True)
        phone.type_run(mass="3400")
        phone.waits_for("this will be checked when it is sent")
        phone.send()
        phone.waits_for(WAITING)
        phone.context.set_offline(False)
        phone.waits_for("Run 1 is saved, but a reading looks unlikely.")
        phone.page.click("[data-next-run]")
        phone.go("/bench/run/start")
        phone.waits_for("Run 1 is saved, but a reading looks unlikely.")
        phone.page.click("text=Look at run 1")
        phone.waits_for("did you mean 340 g?")
        phone.page.click("text=Yes, 340 g")
        phone.waits_for("Run 1 is corrected.")
        phone.go("/bench/run/start")
        phone.page.wait_for_selector("#run")
        assert phone.said == ""
        (run,) = phone.stored()
        assert (run.version, run.entry.shot_mass.raw) == (2, "340")


def answer_lost(route: Route) -> None:
    """The server gets the run, the phone never hears of it."""
    route.fetch()
    route.abort("connectionreset")


def refused_at_the_door(route: Route) -> None:
    route.abort("connectionrefused")


def five_hundred(route: Route) -> None:
    route.fulfill(status=502, content_type="text/html", body="<h1>Bad gateway</h1>")


def stored_then_five_hundred(route: Route) -> None:
    route.fetch()
    route.fulfill(status=500, content_type="application/json", body='{"problem": "Something broke."}')


def login_page(route: Route) -> None:
    route.fulfill(status=302, headers={"Location": "/portal-login"})


def login_page_as_if_all_were_well(route: Route) -> None:
    route.fulfill(status=200, content_type="text/html", body="<form>School Wi-Fi sign-in</form>")


def another_runs_answer(route: Route) -> None:
    route.fulfill(
        status=200, content_type="application/json", body='{"saved": {"key": "%s", "run": 1}}' % ("0" * 32)
    )


def busy(route: Route) -> None:
    route.fulfill(
        status=503, content_type="application/json", body='{"problem": "Many benches are sending at once."}'
    )


# One after the other, and what each of them says is not what the one before said.
FAILURES: list[tuple[Callable[[Route], None], str]] = [
    (refused_at_the_door, "Kept on this phone"),
    (five_hundred, "Something else answered"),
    (another_runs_answer, "Kept on this phone"),
    (login_page, "Something else answered"),
    (answer_lost, "Kept on this phone"),
    (login_page_as_if_all_were_well, "Something else answered"),
    (stored_then_five_hundred, "Something broke."),
    (busy, "Many benches are sending at once."),
]


def test_each_failure_while_sending_keeps_the_run_and_it_is_tried_again(phone: Phone) -> None:
    phone.page.route(SEND, FAILURES[0][0])
    phone.send()
    phone.waits_for(WAITING)
    phone.page.click("#queue summary")
    for failure, words in FAILURES:
        phone.page.unroute(SEND)
        phone.page.route(SEND, failure)
        phone.page.click("[data-now]")
        phone.waits_for(words)
        phone.waits_for(WAITING)
        assert phone.rows_kept() == 1, failure.__name__
    phone.page.unroute(SEND)
    phone.page.click("[data-now]")
    sent_once(phone)


def test_a_reload_between_the_lost_answer_and_the_next_try(phone: Phone) -> None:
    phone.page.route(SEND, answer_lost)
    phone.send()
    phone.waits_for(WAITING)
    phone.page.unroute(SEND)
    phone.page.reload()
    phone.page.wait_for_function(NOTHING_KEPT)
    assert len(phone.stored()) == 1
    phone.go("/bench/runs")
    phone.waits_for("Run 1")


def test_a_page_that_lists_the_run_frees_the_phone_of_it(phone: Phone) -> None:
    phone.page.route(SEND, answer_lost)
    phone.send()
    phone.waits_for(WAITING)
    phone.go("/bench/runs")
    assert phone.rows_kept() == 0
    assert len(phone.stored()) == 1


def test_two_tabs_send_the_same_run_once(phone: Phone) -> None:
    other = phone.context.new_page()
    other.goto(phone.page.url)
    other.wait_for_selector("[data-go=send]:not([hidden])")
    phone.send()
    other.click("[data-go=send]")
    sent_once(phone)
    other.get_by_text("Saved as run 1").wait_for()
    assert len(phone.stored()) == 1


def test_two_tabs_with_a_queue_between_them(phone: Phone) -> None:
    phone.context.set_offline(True)
    phone.send()
    phone.waits_for(WAITING)
    phone.context.set_offline(False)
    other = phone.context.new_page()
    other.goto(phone.served.address + "/bench/runs")
    sent_once(phone)


def test_pausing_holds_the_run_and_says_why(phone: Phone) -> None:
    from datetime import UTC, datetime

    from app.practicals.lesson.states import pause_practical, resume_practical

    who: dict[str, Any] = {
        "actor": phone.a_class.teacher,
        "practical_id": phone.a_class.practical_id,
        "now": datetime.now(UTC),
    }
    pause_practical(phone.served.database, **who)
    phone.send()
    phone.waits_for("The teacher has paused the class.")
    assert phone.rows_kept() == 1
    resume_practical(phone.served.database, **who)
    sent_once(phone)


def test_a_bench_released_meanwhile_keeps_its_rows_and_says_so(phone: Phone) -> None:
    from datetime import UTC, datetime

    from app.practicals.benches.watch import release_bench

    release_bench(
        phone.served.database,
        actor=phone.a_class.teacher,
        practical_id=phone.a_class.practical_id,
        bench_number=7,
        now=datetime.now(UTC),
        end_phones=True,
    )
    phone.send()
    phone.waits_for("Your teacher has ended this phone's place at bench 7.")
    assert phone.rows_kept() == 1
    phone.go(f"/j/{phone.a_class.practical.join_code}")
    phone.waits_for(WAITING)
    phone.page.click('button[value="7"]')
    phone.page.wait_for_function(NOTHING_KEPT)
    assert len(phone.stored()) == 1


def test_a_run_refused_late_comes_back_into_the_form(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.join()
        phone.context.set_offline(True)
        phone.type_run(mass="3.4.0")
        phone.send()
        phone.waits_for(WAITING)
        phone.context.set_offline(False)
        phone.page.wait_for_selector('section[data-step="weigh"]:not([hidden])')
        phone.waits_for("more than one decimal mark")
        assert phone.page.input_value("#shot_mass") == "3.4.0"
        assert phone.page.input_value("#end_temperature") == "21.4"
        phone.page.fill("#shot_mass", "340")
        for _ in range(5):
            phone.next()
        phone.send()
        sent_once(phone)


def test_leaving_with_a_run_unsent_is_warned_about(phone: Phone) -> None:
    phone.context.set_offline(True)
    phone.send()
    phone.waits_for(WAITING)
    asked: list[str] = []

    def note_and_stay(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    phone.page.on("dialog", note_and_stay)
    with phone.page.expect_event("dialog"):
        phone.page.close(run_before_unload=True)
    assert asked == ["beforeunload"]
    phone.page.close()  # a context that is closed while its page still asks has crashed Chromium


def test_unsent_readings_can_be_shown_as_text(phone: Phone) -> None:
    phone.context.set_offline(True)
    phone.send()
    phone.waits_for(WAITING)
    phone.page.click("#queue summary")
    text = phone.page.input_value("#queue textarea")
    for part in (
        "Bench 7",
        "Mass of the shot: 340 g",
        "START temperature: 19.2 °C",
        "END temperature: 21.4 °C",
    ):
        assert part in text
