"""A phone in a real browser, and what is stored of what it sent."""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

from app.practicals.benches.joining import join_bench
from app.practicals.benches.own_bench import acknowledge_safety
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.reading import RunDetails, runs_in
from tests.practicals.a_class import AClass
from tests.serving import Served
from tests.web.phone.phone import READINGS

LAY_DOWN = """(() => {
  const [name, draft] = %s;
  if (sessionStorage.getItem(name)) return;
  sessionStorage.setItem(name, "laid");
  localStorage.setItem(name, draft);
})()"""
"""A draft is there before the first page of this tab, and once only."""
NOTHING_KEPT = "() => !Object.keys(localStorage).some(n => n.startsWith('plumbfall-run-'))"
A_FALL_LATER = """() => {
  const before = performance.now.bind(performance);
  performance.now = () => before() + 300;
}"""
SMALL: ViewportSize = {"width": 360, "height": 740}


class Thumb:
    """A thumb on a phone that counts its taps; typing is not counted."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = 0

    def tap(self, selector: str) -> None:
        """Tap the first of these."""
        self.page.locator(selector).first.tap()
        self.taps += 1


@dataclass
class Phone:
    """A page in its own browser context, at a bench of a class."""

    page: Page
    context: BrowserContext
    served: Served
    a_class: AClass

    def go(self, path: str) -> None:
        """Open an address of the server."""
        self.page.goto(self.served.address + path)

    def join(self, number: int = 7) -> None:
        """At the bench and past its safety step, without the way there (that is `test_flow.py`)."""
        self._belongs_to(number)
        self.go("/bench/run/weigh")
        self.page.wait_for_selector("#run")

    def _belongs_to(self, number: int) -> BenchIdentity:
        now = datetime.now(UTC)
        code = self.a_class.practical.join_code or ""
        joined = join_bench(self.served.database, code=code, bench_number=number, now=now)
        acknowledge_safety(self.served.database, actor=joined.bench, now=now)
        self.context.add_cookies(
            [{"name": "plumbfall-bench", "value": joined.token, "url": self.served.address}]
        )
        return joined.bench

    def stand_at_the_check(self, number: int = 7, **typed: str) -> None:
        """The same as joining and typing a run, without the way there: cookie and draft put in place."""
        draft = {"v": 1, "key": secrets.token_hex(16), "step": "check", "kept": []}
        draft["fields"] = {**READINGS, **typed}
        laid = [f"plumbfall-draft-{self._belongs_to(number).bench_id}", json.dumps(draft)]
        self.page.add_init_script(LAY_DOWN % json.dumps(laid))
        self.go("/bench/run/weigh")
        self.page.wait_for_selector("[data-go=send]:not([hidden])")

    def next(self) -> None:
        """Press the step's main button and wait for the next screen."""
        before = self.step
        self.page.click("[data-go=next]")
        self.page.wait_for_function(
            "before => document.querySelector('section.step:not([hidden])').dataset.step !== before",
            arg=before,
        )

    @property
    def step(self) -> str:
        """The step on the screen."""
        return str(self.page.get_attribute("section.step:not([hidden])", "data-step"))

    def type_run(self, start: str = "19.2", end: str = "21.4", mass: str = "340") -> None:
        """Every step up to the check."""
        if self.step == "weigh":
            self.page.fill("#shot_mass", mass)
            self.next()
            self.next()
        self.page.fill("#start_temperature", start)
        self.next()
        self.page.fill("#inversions", "50")
        self.next()
        self.page.fill("#end_temperature", end)
        self.next()

    def count_falls(self, times: int) -> None:
        """Tap once for each fall, with the time between two that a shot needs, on the page's own clock."""
        for _ in range(times):
            self.page.evaluate(A_FALL_LATER)
            self.page.tap(".tap")

    def send(self) -> None:
        """Press Send on the check screen."""
        self.page.click("[data-go=send]")

    def send_another(self) -> None:
        """The next run, typed and sent."""
        self.page.click("[data-next-run]")
        self.type_run(start="19.6", end="21.7")
        self.send()

    def waits_for(self, words: str) -> None:
        """Until these words are on the page."""
        self.page.get_by_text(words).first.wait_for(timeout=15_000)

    @property
    def said(self) -> str:
        """What the phone says it holds."""
        return self.page.inner_text("#queue [role=status]")

    def lets_go_of_everything(self) -> None:
        """Until the phone keeps no run any more; another tab may still be waiting for its own answer."""
        self.page.wait_for_function(NOTHING_KEPT, timeout=15_000)
        self.page.wait_for_function(
            "() => ['', 'Saved as'].includes("
            "document.querySelector('#queue [role=status]').innerText.split(' run')[0])",
            timeout=15_000,
        )

    def rows_kept(self) -> int:
        """How many runs the phone still keeps."""
        return int(
            self.page.evaluate("Object.keys(localStorage).filter(n => n.startsWith('plumbfall-run-')).length")
        )

    def stored(self) -> list[RunDetails]:
        """The class's runs in the database."""
        with self.served.database.reading() as session:
            return runs_in(session, self.a_class.practical_id)


@contextmanager
def a_phone(
    browser: Browser, served: Served, a_class: AClass | None = None, **options: object
) -> Iterator[Phone]:
    """A phone of 360 px, with touch; `options` go to the browser context."""
    settings = {"viewport": SMALL, "has_touch": True, "is_mobile": True, "locale": "en-GB", **options}
    context = browser.new_context(**settings)  # type: ignore[arg-type]
    context.set_default_timeout(15_000)
    try:
        yield Phone(context.new_page(), context, served, a_class or served.a_class())
    finally:
        context.close()
