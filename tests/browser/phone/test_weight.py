"""How much a phone has to fetch: bytes on the wire and requests, counted by the browser itself."""

from __future__ import annotations

import time
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from playwright.sync_api import Browser

from app.practicals.lesson.details import BenchPlanLine
from tests.browser.phone.phone import Phone, a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser
FIRST_VISIT_BYTES, FIRST_VISIT_REQUESTS, LATER_BYTES = 26_000, 4, 8_000


FOLLOWING = "/bench/class"
"""What a page asks for again and again is weighed by itself (`tests/web/board/test_on_the_phones.py`); the
browser tells no end of an answer that the next page cut off."""


class Wire:
    """Counts what one page fetches, through the browser's own protocol."""

    def __init__(self, phone: Phone) -> None:
        self.phone = phone
        self.session = phone.context.new_cdp_session(phone.page)
        self.session.on("Network.requestWillBeSent", self._asks)
        self.session.on("Network.requestServedFromCache", lambda event: self.cached.add(event["requestId"]))
        self.session.on("Network.loadingFinished", self._has)
        self.session.on("Network.loadingFailed", self._has)
        self.clear()
        self.session.send("Network.enable")

    def clear(self) -> None:
        """Start counting anew."""
        self.asked: list[str] = []
        self.cached: set[str] = set()
        self.under_way: set[str] = set()
        self.counted: set[str] = set()
        self.bytes = 0

    def _asks(self, event: dict[str, Any]) -> None:
        """A request, or the next leg of one that was led elsewhere: that answer's bytes count too."""
        if event["request"]["url"].endswith(FOLLOWING):
            return
        self.asked.append(event["request"]["url"])
        self.counted.add(event["requestId"])
        self.under_way.add(event["requestId"])
        self.bytes += int(event.get("redirectResponse", {}).get("encodedDataLength", 0))

    def _has(self, event: dict[str, Any]) -> None:
        self.under_way.discard(event["requestId"])
        if event["requestId"] in self.counted:
            self.bytes += int(event.get("encodedDataLength", 0))

    def measure(self, act: Callable[[], object]) -> tuple[int, int]:
        """Bytes and requests that an act brings about, once every answer to it is in.

        The browser tells of an answer after the page has it, so a quiet page is no sign that all is told.
        """
        self.clear()
        act()
        give_up = time.monotonic() + 15
        while not self.asked or self.under_way:
            assert time.monotonic() < give_up, f"asked {self.asked}, still waiting for {self.under_way}"
            self.phone.page.wait_for_timeout(20)
        self.phone.page.wait_for_load_state("networkidle")
        return self.bytes, len(self.asked) - len(self.cached)


@pytest.mark.parametrize("path", ["/", "/j/{code}"])
@pytest.mark.parametrize("language", ["en", pytest.param("ar", marks=pytest.mark.long)])
def test_the_first_visit_is_light_and_asks_nobody_else(
    browser: Browser, served: Served, path: str, language: str
) -> None:
    with a_phone(browser, served, locale=language) as phone:
        wire = Wire(phone)
        there = path.format(code=phone.a_class.practical.join_code)
        size, requests = wire.measure(lambda: phone.go(there))
        print(f"first visit {there}: {size} bytes, {requests} requests")
        assert size <= FIRST_VISIT_BYTES
        assert requests <= FIRST_VISIT_REQUESTS
        assert all(url.startswith(served.address) or url.startswith("data:") for url in wire.asked)


@pytest.mark.long
@pytest.mark.parametrize("language", ["en", "ar"])
def test_each_later_step_is_lighter_still(browser: Browser, served: Served, language: str) -> None:
    line = BenchPlanLine(7, shot_mass_kg=Decimal("0.34"), start_temperature_C=Decimal("18.5"))
    fullest = served.a_class(depth_measured=True, bench_plans=(line,), room_temperature_C=Decimal(21))
    with a_phone(browser, served, fullest, locale=language) as phone:
        wire, page = Wire(phone), phone.page
        phone.go(f"/j/{phone.a_class.practical.join_code}")
        weights: dict[str, int] = {}

        def weigh(name: str, act: Callable[[], object]) -> None:
            weights[name], _ = wire.measure(act)

        weigh("safety", lambda: page.click('button[value="7"]'))
        weigh("run", lambda: page.click("main button.main"))
        page.fill("#shot_mass", "340")
        weigh("weigh", phone.next)
        page.fill("#caps", "2")
        page.fill("#settled_depth", "3")
        weigh("tube", phone.next)
        page.fill("#start_temperature", "19.2")
        weigh("start", phone.next)
        page.fill("#inversions", "50")
        weigh("count", phone.next)
        page.fill("#end_temperature", "21.4")
        weigh("end", phone.next)
        weigh("send", phone.send)
        for path in ("/bench/how/1", "/bench/runs", "/bench/ours", "/bench/run/all", "/"):
            weigh(path, lambda path=path: phone.go(path))  # type: ignore[misc]
        print(weights)
        assert all(0 < weight <= LATER_BYTES for weight in weights.values()), weights
