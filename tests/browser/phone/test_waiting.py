"""A phone whose bench is beyond the plan goes on by itself once the teacher has answered."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser

from app.practicals.benches.watch import let_in, refuse
from tests.browser.phone.phone import a_phone
from tests.serving import Served

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    ("answer", "where"),
    [(let_in, "**/bench/safety"), pytest.param(refuse, "**/?again=1", marks=pytest.mark.long)],
)
def test_the_page_that_waits_goes_on_with_the_answer(
    browser: Browser, served: Served, answer: Callable[..., None], where: str
) -> None:
    with a_phone(browser, served) as phone:
        phone.go(f"/j/{phone.a_class.practical.join_code}?bench=45")
        phone.page.click("main button.main")
        phone.waits_for("Bench 45 waits for your teacher")
        answer(
            served.database,
            actor=phone.a_class.teacher,
            practical_id=phone.a_class.practical_id,
            bench_number=45,
            now=datetime.now(UTC),
        )
        phone.page.wait_for_url(where, timeout=20_000)
