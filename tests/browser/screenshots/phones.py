"""A phone's way through a run, with a picture of every screen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from playwright.sync_api import Browser

from app.practicals.benches.joining import join_bench
from app.practicals.board.reveal import BOARD_STEPS, step_board
from tests.browser.phone.phone import Phone, a_phone
from tests.serving import Served

Take = Callable[[Phone, str], None]
TYPED = {
    "weigh": ("#shot_mass", "340"),
    "start": ("#start_temperature", "19.2"),
    "end": ("#end_temperature", "21.4"),
}


def walk(browser: Browser, served: Served, take: Take, **context: Any) -> None:
    """From the code to the class's runs; `take` gets the phone and the name of its screen."""
    with a_phone(browser, served, None, **context) as phone:
        group = phone.a_class
        for name, path in (("entry", "/"), ("sign-in", "/sign-in"), ("nothing", "/nothing-here")):
            phone.go(path)
            take(phone, f"phone-{name}")
        phone.go(f"/j/{group.practical.join_code}")
        take(phone, "phone-choose")
        now = datetime.now(UTC)
        joined = join_bench(served.database, code=group.practical.join_code or "", bench_number=7, now=now)
        phone.context.add_cookies([{"name": "plumbfall-bench", "value": joined.token, "url": served.address}])
        phone.go("/bench/safety")
        take(phone, "phone-safety")
        phone.page.click("main button.main")
        for step in ("weigh", "tube", "start", "count", "end"):
            phone.page.wait_for_selector(f'section[data-step="{step}"]:not([hidden])')
            if step == "count":
                _count(phone, take)
            elif step in TYPED:
                phone.page.fill(*TYPED[step])
            take(phone, f"phone-{step}")
            phone.next()
        take(phone, f"phone-{phone.step}")
        for name in ("runs", "ours", "ice"):
            phone.go(f"/bench/{name}")
            take(phone, f"phone-{name}")
        for board_step in BOARD_STEPS:
            step_board(
                served.database, actor=group.teacher, practical_id=group.practical_id, now=now, to=board_step
            )
            phone.go("/bench/runs")
            phone.page.wait_for_selector(f'#class-now[data-step="{board_step}"]')
            take(phone, f"phone-class-{board_step.replace(' ', '-')}")
        phone.go("/bench/take-home")
        take(phone, "phone-take-home")


def _count(phone: Phone, take: Take) -> None:
    phone.page.click("[data-count]")
    take(phone, "phone-tapping")
    phone.page.click("[data-done]")
    phone.page.fill("#inversions", "50")
