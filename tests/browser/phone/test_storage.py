"""A phone whose storage is forbidden, full or filled by something else, and a page older than the server."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.phone.phone import NOTHING_KEPT, a_phone
from tests.serving import Served, free_port, serving

pytestmark = pytest.mark.browser

FORBIDDEN = """
const denied = () => { throw new DOMException("denied", "SecurityError"); };
Object.defineProperty(window, "localStorage", { get: denied });
"""
FULL = """
Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };
"""


@pytest.mark.parametrize(
    "storage", [FORBIDDEN, pytest.param(FULL, marks=pytest.mark.long)], ids=["forbidden", "full"]
)
def test_storage_that_keeps_nothing_is_told_and_the_run_is_posted_plainly(
    browser: Browser, served: Served, storage: str
) -> None:
    with a_phone(browser, served) as phone:
        phone.page.add_init_script(storage)
        phone.join()
        phone.waits_for("This phone lets the page keep nothing")
        for field, text in (
            ("shot_mass", "340"),
            ("", ""),
            ("start_temperature", "19.2"),
            ("inversions", "50"),
        ):
            if field:
                phone.page.fill(f"#{field}", text)
            phone.page.click("[data-go=next]")
        phone.page.fill("#end_temperature", "21.4")
        phone.page.click("[data-go=next]")
        phone.page.click("[data-go=send]")
        phone.waits_for("Saved as run 1.")
        assert len(phone.stored()) == 1


def test_storage_that_fills_up_at_the_last_moment_posts_the_run_plainly(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        phone.page.evaluate(
            "() => { Storage.prototype.setItem = () => { throw new DOMException('full'); }; }"
        )
        phone.send()
        phone.waits_for("Saved as run 1.")
        assert len(phone.stored()) == 1


HOSTILE = {
    "plumbfall-run-1": "not json",
    "plumbfall-run-2": '{"v": 1, "key": "x", "fields": null}',
    "plumbfall-run-3": '"<img src=x onerror=window.hurt=1>"',
    "plumbfall-run-" + "a" * 32: '{"v": 1, "key": "' + "b" * 32 + '", "bench": 1, "fields": {}}',
    "plumbfall-run-" + "c" * 32: '{"v": 99, "key": "' + "c" * 32 + '"}',
    "plumbfall-run-4": "[" * 5000,
    "plumbfall-saved": '{"length": 3}',
    "plumbfall-sending": '{"tab": "gone", "until": 99999999999999}',
    "plumbfall-count": '{"count": -5, "open": true}',
    "plumbfall-draft-1": "null",
}


def test_hostile_content_in_the_queue_is_survived_shown_as_text_and_sends_nothing(
    browser: Browser, served: Served
) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        phone.page.evaluate(
            "rows => Object.entries(rows).forEach(([k, v]) => localStorage.setItem(k, v))", HOSTILE
        )
        phone.page.reload()
        phone.page.wait_for_selector("[data-go=send]:not([hidden])")
        assert phone.page.locator("#queue li").count() == 6
        phone.waits_for("cannot be read as a run")
        assert phone.page.evaluate("() => window.hurt") is None
        phone.send()
        phone.waits_for("Saved as run 1")
        assert len(phone.stored()) == 1
        phone.page.on("dialog", lambda dialog: dialog.accept())
        for _ in range(6):
            phone.page.locator("#queue li button.harm").first.click()
        assert phone.rows_kept() == 0


@pytest.mark.long
def test_a_page_older_than_the_server_still_sends(browser: Browser, tmp_path: Path) -> None:
    port = free_port()
    with serving(tmp_path, port) as old, a_phone(browser, old) as phone:
        phone.stand_at_the_check()
        old.process.terminate()
        old.process.wait(timeout=20)
        phone.send()
        phone.waits_for("Not yet sent: 1.")
        # The new server has another signing key: the page's form token and its cookie are worth nothing now.
        with serving(tmp_path, port, PLUMBFALL_SECRET_KEY="another" * 6):
            phone.page.click("#queue summary")
            phone.page.click("[data-now]")
            phone.waits_for("Saved as run 1")
            assert len(phone.stored()) == 1
            assert phone.rows_kept() == 0


def test_readings_typed_at_another_bench_wait_for_the_people_there(browser: Browser, served: Served) -> None:
    with a_phone(browser, served) as phone:
        phone.stand_at_the_check()
        phone.context.set_offline(True)
        phone.send()
        phone.waits_for("Not yet sent: 1.")
        phone.context.route("**/bench/send", lambda route: route.abort())
        phone.context.set_offline(False)
        phone.go("/bench/ours")
        phone.page.fill("#number", "8")
        phone.page.click("text=Change the number")
        phone.waits_for("these readings were typed at bench 7")
        phone.context.unroute("**/bench/send")
        assert phone.stored() == []
        phone.page.click("text=They are ours: send them")
        phone.page.wait_for_function(NOTHING_KEPT)
        assert [run.bench_number for run in phone.stored()] == [8]


def test_on_plain_http_as_on_school_wifi_everything_works(browser: Browser, served: Served) -> None:
    plain = replace(served, address=served.address.replace("127.0.0.1", "school.test"))
    with a_phone(browser, plain) as phone:
        phone.stand_at_the_check()
        assert phone.page.evaluate("() => window.isSecureContext") is False
        assert phone.page.evaluate("() => crypto.randomUUID === undefined") is True
        phone.context.set_offline(True)
        phone.send()
        phone.waits_for("Not yet sent: 1.")
        phone.page.click("[data-next-run]")
        phone.page.fill("#start_temperature", "19.6")
        phone.next()
        phone.page.click("[data-count]")
        phone.waits_for("The screen may go dark here")
        phone.page.tap(".tap")
        phone.page.click("[data-done]")
        phone.next()
        phone.page.fill("#end_temperature", "21.7")
        phone.next()
        phone.send()
        phone.waits_for("Not yet sent: 2.")
        phone.context.set_offline(False)
        phone.waits_for("Saved as run 2")
        assert [run.entry.inversions.raw for run in phone.stored()] == ["50", "1"]
