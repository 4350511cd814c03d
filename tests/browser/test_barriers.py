"""The look for barriers can find some: what it never sees, no test of a page would tell."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.browser.barriers import barriers, barriers_in_both_themes

pytestmark = pytest.mark.browser
FAINT_IN_THE_DARK = """<!doctype html><html lang="en"><head><title>A page</title>
<style>@media (prefers-color-scheme: dark) { body { background: #000; color: #333; } }</style></head>
<body><main><h1>A heading</h1></main></body></html>"""


def test_words_that_are_faint_only_in_the_dark_are_found(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content(FAINT_IN_THE_DARK)
    assert barriers(page) == ""
    found = barriers_in_both_themes(page)
    assert found.startswith("dark:\ncolor-contrast")
    assert "<h1>A heading</h1>" in found
    page.close()
