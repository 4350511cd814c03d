"""A teacher's first minutes: sign-in, three questions, the class that plays itself, a real plan's form."""

from __future__ import annotations

import secrets

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import update

from app.practicals.made_up.first.script import SCRIPT, Shows
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import BoardStep
from app.records.models import FirstClass
from tests.browser.barriers import barriers
from tests.practicals.a_class import PASSWORD, a_teacher
from tests.serving import Served

pytestmark = pytest.mark.browser
LOOKED_AT = [
    next(place for place, moment in enumerate(SCRIPT) if wanted(moment))
    for wanted in (
        lambda moment: moment.shows is Shows.QUESTION,
        lambda moment: moment.shows is Shows.CASE,
        lambda moment: moment.board is BoardStep.SPREAD,
        lambda moment: moment.shows is Shows.END,
    )
]
"""The first place of each kind of picture but the bench marks, with which it begins."""


def test_the_made_up_class_plays_itself_on_a_phone_and_leads_to_the_plan(
    served: Served, browser: Browser
) -> None:
    teacher = a_teacher(served.database, f"new-{secrets.token_hex(4)}")
    page = browser.new_page(viewport={"width": 360, "height": 740}, locale="en-GB")
    page.goto(f"{served.address}/sign-in")
    page.get_by_label("Sign-in name").fill(teacher.login)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/desk/first")
    assert barriers(page) == ""
    page.get_by_label("How many benches will you have?").fill("7")
    page.get_by_role("button", name="Watch it").click()
    now = page.locator("#first-now")
    expect(now).to_have_attribute("data-place", "0")
    _play(served, teacher, 1000 * SCRIPT[1].second - 1)
    expect(now).to_have_attribute("data-place", "1")
    expect(page.locator("#first-told")).to_contain_text(SCRIPT[1].says.template)
    page.get_by_role("button", name="Pause").click()
    expect(now).to_have_attribute("data-pace", "held")
    for place in LOOKED_AT:
        _play(served, teacher, 1000 * SCRIPT[place - 1].second)
        page.reload()
        page.locator("#first-next").press("Enter")
        expect(now).to_have_attribute("data-place", str(place), timeout=30_000)
        _fits_and_is_whole(page)
        assert barriers(page) == "", SCRIPT[place].says
        if SCRIPT[place].shows is not Shows.END:
            expect(page.locator("#first-next")).to_be_focused()
    page.get_by_role("button", name="Plan your real lesson with these answers").click()
    page.wait_for_url("**/desk/new?**")
    expect(page.get_by_label("Benches")).to_have_value("7")
    page.close()


def _play(served: Served, teacher: TeacherIdentity, played_ms: int) -> None:
    """Let so much be over."""
    own = update(FirstClass).where(FirstClass.teacher_id == teacher.teacher_id)
    with served.database.writing() as session:
        session.execute(own.values(played_ms=played_ms))


def _fits_and_is_whole(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    images = page.locator(".first-stage img")
    if images.count():
        expect(images).to_have_js_property("complete", True)
        assert images.evaluate("image => image.naturalWidth") > 0
