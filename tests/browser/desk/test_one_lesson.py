"""One lesson lived through: two phones, the desk and the wall say the same at every step of the board."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from app.practicals.board.reveal import BOARD_STEPS
from tests.browser.board.conftest import SOON
from tests.browser.desk.conftest import SignedIn
from tests.browser.phone.phone import Phone, a_phone
from tests.figures.classes import a_run
from tests.practicals.a_class import AClass
from tests.serving import Served
from tests.web.board.reported import send

pytestmark = pytest.mark.browser
PHONES = (1, 2)


@pytest.fixture
def lesson(served: Served) -> AClass:
    """Six benches with unlike masses; the last four have sent their runs."""
    group = served.a_class(planned_benches=6)
    masses = (0.25, 0.5, 0.25, 0.5)
    send(
        group,
        [a_run(bench, run=run, mass=mass) for bench, mass in enumerate(masses, 3) for run in ("1", "2")],
    )
    return group


@pytest.fixture
def phones(browser: Browser, served: Served, lesson: AClass) -> Iterator[list[Phone]]:
    """Two phones whose benches type and send a run each; they stay at the screen after Send."""
    with ExitStack() as opened:
        joined = [
            opened.enter_context(a_phone(browser, served, lesson, reduced_motion="reduce")) for _ in PHONES
        ]
        for number, phone in zip(PHONES, joined, strict=True):
            phone.stand_at_the_check(number)
            phone.send()
            phone.waits_for("Saved as run 1")
        yield joined


def heading(page: Page) -> Locator:
    """The step's name on the wall."""
    return page.locator("#wall-heading")


def follow(phone: Phone, wall: Page, step: str) -> None:
    """The phone comes to the step by itself, in the wall's words."""
    now = phone.page.locator("#class-now")
    expect(now).to_have_attribute("data-step", step, timeout=SOON)
    expect(phone.page.locator("#class-title")).to_contain_text(heading(wall).inner_text())
    said = wall.locator("#wall-finding span").first.inner_text()
    expect(phone.page.locator(".class-finding span").first).to_have_text(said, timeout=SOON)
    drawn = wall.locator("#picture figure img")
    shown = phone.page.locator("#class-now figure img")
    assert shown.count() == drawn.count()
    if drawn.count():
        assert shown.get_attribute("alt") == drawn.get_attribute("alt")
        assert shown.evaluate("image => image.complete && image.naturalWidth > 0")


@pytest.mark.long
def test_two_phones_the_desk_and_the_wall_never_disagree(
    signed_in: SignedIn, served: Served, lesson: AClass, phones: list[Phone]
) -> None:
    desk = signed_in(lesson)
    wall = desk.context.new_page()
    wall.goto(f"{served.address}/board/{lesson.practical_id}")
    desk.goto(f"{served.address}/desk/{lesson.practical_id}/")
    for at, step in enumerate(BOARD_STEPS):
        if at:
            desk.locator("#wall-forward").click()
            desk.wait_for_load_state()
        expect(wall.locator("#picture")).to_have_attribute("data-step", step, timeout=SOON)
        expect(desk.locator(".wall-controls p").first).to_contain_text(heading(wall).inner_text())
        expect(wall.locator("#wall-status")).to_contain_text("Runs: 10")
        for phone in phones:
            follow(phone, wall, step)
            for later in BOARD_STEPS[at + 1 :]:
                assert phone.page.locator(f'#class-now[data-step="{later}"]').count() == 0
    for phone in phones:
        expect(phone.page.locator('a[href$="/bench/take-home"]')).to_be_visible()
    desk.locator("#wall-phones").click()
    for phone in phones:
        expect(phone.page.locator("#class-title")).to_have_count(0, timeout=SOON)
    desk.locator("#wall-phones").click()
    desk.wait_for_load_state()
    desk.locator("#wall-back").click()
    expect(wall.locator("#picture")).to_have_attribute("data-step", BOARD_STEPS[-2], timeout=SOON)
    for phone in phones:
        follow(phone, wall, BOARD_STEPS[-2])
        expect(phone.page.locator('a[href$="/bench/take-home"]')).to_have_count(0)
