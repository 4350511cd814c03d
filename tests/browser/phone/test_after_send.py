"""The screen after Send with the script: how the run did, their own c, and the next run without either."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.phone.phone import Phone

pytestmark = pytest.mark.browser


def test_the_answer_to_send_says_how_the_run_did_and_leads_to_their_own_c(phone: Phone) -> None:
    phone.send()
    expect(phone.page.locator("[data-how] .notice")).to_contain_text("Well done: 2.2 K lies inside")
    bar = phone.page.locator(".bars .here .got").bounding_box()
    band = phone.page.locator(".bars .here .band").bounding_box()
    assert bar
    assert band
    assert band["x"] < bar["x"] + bar["width"] < band["x"] + band["width"], "the bar ends inside the band"
    phone.page.get_by_role("link", name="Work out your own").click()
    for line, text in {"g": "9.81", "h": "0.95", "N": "50", "w": "2.2", "c": "212"}.items():
        expect(phone.page.locator(f"#{line}")).to_be_editable()
        phone.page.fill(f"#{line}", text)
        phone.page.get_by_role("button", name="Check this line").click()
    expect(phone.page.locator("#own")).to_contain_text("Well worked out.")
    assert phone.stored()[0].entry.own_heat_capacity is not None


def test_a_run_that_waits_says_nothing_of_how_it_did_and_the_next_begins_empty(phone: Phone) -> None:
    phone.context.set_offline(True)
    phone.send()
    phone.waits_for("Not yet sent: 1.")
    expect(phone.page.locator("[data-how]")).to_be_empty()
    expect(phone.page.get_by_role("link", name="Work out your own")).to_be_hidden()
    phone.context.set_offline(False)
    expect(phone.page.locator("[data-how] .bars")).to_be_visible()
    phone.send_another()
    expect(phone.page.locator("[data-how] .here")).to_contain_text("Run 2")
    assert phone.page.locator("[data-how] .bars li").count() == 2
