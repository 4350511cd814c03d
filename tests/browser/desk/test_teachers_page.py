"""The head's page of teachers in a browser: no barrier, and by keyboard from the field to the list."""

from __future__ import annotations

import re
import secrets
from dataclasses import replace

import pytest
from playwright.sync_api import expect

from tests.browser.barriers import barriers_in_both_themes
from tests.browser.desk.conftest import SignedIn
from tests.practicals.a_class import a_teacher
from tests.serving import Served

pytestmark = pytest.mark.browser


def test_the_teachers_page_has_no_barrier_and_takes_a_teacher_in(served: Served, signed_in: SignedIn) -> None:
    department = f"Physics {secrets.token_hex(3)}"
    head = a_teacher(served.database, f"head-{secrets.token_hex(3)}", department, is_head=True)
    page = signed_in(replace(served.a_class(), teacher=head))
    page.goto(f"{served.address}/desk/")
    page.get_by_role("link", name="Teachers").click()
    assert barriers_in_both_themes(page) == ""
    page.get_by_label("Name", exact=True).fill("Mrs New")
    page.keyboard.press("Enter")
    link = page.locator("#link")
    expect(link).to_contain_text("/way-in/")
    assert barriers_in_both_themes(page) == ""
    path = "/way-in/" + link.inner_text().split("/way-in/")[1]
    page.get_by_role("link", name="Back to the people").click()
    expect(page.get_by_role("heading", name="Open invitations")).to_be_visible()
    page.set_viewport_size({"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") == 320
    page.goto(served.address + path)
    login = page.get_by_label("Sign-in name")
    login.fill(f"new-{secrets.token_hex(3)}")
    page.get_by_label("Password", exact=True).fill("lantern gravel otter")
    page.get_by_label("Password once more").fill("lantern gravel otters")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("typed differently the second time")
    expect(login).to_have_value(re.compile("new-"))
    assert barriers_in_both_themes(page) == ""
    assert page.evaluate("document.documentElement.scrollWidth") == 320
    for label in ("Password", "Password once more"):
        page.get_by_label(label, exact=True).fill("lantern gravel otter")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Your password is set")
