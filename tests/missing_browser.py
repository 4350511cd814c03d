"""Browser tests on a machine without a browser: left out and counted at the end; with `CI` set they fail."""

from __future__ import annotations

import os
from collections.abc import Iterator
from functools import cache

import pytest

from tests.serving import NoChromium, chromium_path

NOT_RUN = "no Chromium: browser tests are not run"


@cache
def _missing() -> NoChromium | None:
    try:
        chromium_path()
    except NoChromium as problem:
        return problem
    return None


@pytest.hookimpl(tryfirst=True)  # before a server is started for the test
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Leave out a test that needs the browser that is missing."""
    if "browser" not in getattr(item, "fixturenames", ()) or (problem := _missing()) is None:
        return
    if os.environ.get("CI"):
        pytest.fail(str(problem), pytrace=False)
    pytest.skip(NOT_RUN)


@pytest.hookimpl(wrapper=True, tryfirst=True)  # after all that pytest itself has to say
def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> Iterator[None]:
    """Say how many were left out, and what to do."""
    yield
    skipped = terminalreporter.stats.get("skipped", [])
    left_out = sum(NOT_RUN in str(report.longrepr) for report in skipped)
    if left_out:
        terminalreporter.write_line(
            f"browser tests not run: {left_out}; install Chromium, "
            "or set PLUMBFALL_CHROMIUM to a Chromium that is elsewhere",
            yellow=True,
        )
