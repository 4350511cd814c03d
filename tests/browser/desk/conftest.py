"""A teacher's browser, signed in on the real server."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.conftest import let_in
from tests.practicals.a_class import AClass
from tests.serving import Served

SignedIn = Callable[..., Page]


@pytest.fixture
def signed_in(browser: Browser, served: Served) -> Iterator[SignedIn]:
    """Opens a browser of its own in which a class's teacher is signed in, before its first page."""
    contexts: list[BrowserContext] = []

    def sign_in(a_class: AClass, width: int = 1280, height: int = 800, dark: bool = False) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light",
            locale="en-GB",
        )
        contexts.append(context)
        let_in(context, served, a_class)
        return context.new_page()

    yield sign_in
    for context in contexts:
        context.close()
