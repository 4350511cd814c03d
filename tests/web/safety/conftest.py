"""The desk's browsers and a class, and phones for it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask

from tests.web.desk.conftest import (  # noqa: F401 - fixtures
    a_class,
    application,
    class_with_a_slip,
    desk,
    nobody,
    planned,
    teacher,
)
from tests.web.phone.phone import Phone


@pytest.fixture
def new_phone(application: Flask) -> Callable[[], Phone]:  # noqa: F811 - the fixture
    """A phone that has not joined."""
    return lambda: Phone(application.test_client())
