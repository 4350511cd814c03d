"""A phone that stands where most questions about sending begin."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.browser.phone.phone import Phone, a_phone
from tests.serving import Served


@pytest.fixture
def phone(browser: Browser, served: Served) -> Iterator[Phone]:
    """A phone at the check screen of its first run."""
    with a_phone(browser, served) as at_check:
        at_check.stand_at_the_check()
        yield at_check
