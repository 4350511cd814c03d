"""A teacher's browser, signed in on the real server."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.practicals.a_class import PASSWORD, AClass
from tests.serving import Served

SignedIn = Callable[..., Page]


@pytest.fixture
def signed_in(browser: Browser, served: Served) -> Iterator[SignedIn]:
    """Opens a browser of its own and signs a class's teacher in."""
    contexts: list[BrowserContext] = []

    def sign_in(
        a_class: AClass, width: int = 1280, height: int = 800, dark: bool = False, at: Served = served
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light",
            locale="en-GB",
        )
        contexts.append(context)
        page = context.new_page()
        page.goto(f"{at.address}/sign-in")
        page.get_by_label("Sign-in name").fill(a_class.teacher.login)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/desk/")
        return page

    yield sign_in
    for context in contexts:
        context.close()
