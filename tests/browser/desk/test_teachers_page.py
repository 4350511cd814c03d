"""The head's page of teachers in a browser: no barrier, and by keyboard from the field to the list."""

from __future__ import annotations

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
    page.get_by_role("link", name="Teachers").click()
    assert barriers_in_both_themes(page) == ""
    login = f"new-{secrets.token_hex(3)}"
    page.get_by_label("Name", exact=True).fill("Mrs New")
    page.get_by_label("Sign-in name").fill(login)
    page.get_by_label("First password", exact=True).fill("lantern gravel otter")
    page.get_by_label("First password once more").fill("lantern gravel otters")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("typed differently the second time")
    expect(page.get_by_label("Sign-in name")).to_have_value(login)
    assert barriers_in_both_themes(page) == ""
    for label in ("First password", "First password once more"):
        page.get_by_label(label, exact=True).fill("lantern gravel otter")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text(f"can sign in as {login}")
    page.get_by_role("button", name="Switch off Mrs New").click()
    expect(page.get_by_role("row", name="Mrs New")).to_contain_text("switched off")
    page.get_by_role("link", name="New password for Mrs New").click()
    assert barriers_in_both_themes(page) == ""
    page.set_viewport_size({"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") == 320
    page.get_by_role("link", name="Back to the teachers").click()
    page.wait_for_load_state()
    assert page.evaluate("document.documentElement.scrollWidth") == 320
