"""One browser and one server for all browser tests of a worker process; each test makes its own class."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, BrowserContext, expect, sync_playwright

from app.practicals.people.teachers import sign_in
from tests.practicals.a_class import PASSWORD, AClass
from tests.serving import Served, chromium_path, serving

# Of several such lists Chromium heeds only the last, so this one repeats what Playwright turns off. The last
# two keep the browser from loading the suggestions below its own address bar as pages beside every page of
# ours; nobody sees them here, and they took three times the processor time of a new page itself.
WITHOUT = [
    "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose",
    "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable",
    "LensOverlay",
    "MediaRouter",
    "PaintHolding",
    "ThirdPartyStoragePartitioning",
    "AvoidCorsURLLoaderRestartOnRedirect",
    "OptimizationHints",
    "NetworkTimeServiceQuerying",
    "AimEnabled",
    "PreconnectToSearch",
    "WebUIOmniboxPopup",
    "WebUIOmniboxAimPopup",
]
ARGUMENTS = [
    "--no-sandbox",
    # One process for all our pages: else each page that is opened starts one of its own.
    "--renderer-process-limit=1",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # Not this machine's own name: its pages are plain http to the browser, as on a school's Wi-Fi.
    "--host-resolver-rules=MAP school.test 127.0.0.1",
    f"--disable-features={','.join(WITHOUT)}",
]

# Pages that follow a class ask every few seconds; Playwright's 5 s are too near to that on a busy machine.
expect.set_options(timeout=20_000)


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A real server with a SQLite database of its own; its codes name an address that no test opens."""
    folder = tmp_path_factory.mktemp("served")
    with serving(folder, PLUMBFALL_BASE_ADDRESS="http://phones.school.example:8480") as running:
        yield running


@pytest.fixture(scope="session")
def launch() -> Iterator[Callable[[], Browser]]:
    """Starts an installed Chromium (`tests/missing_browser.py` says what happens without one)."""
    with sync_playwright() as playwright:
        yield lambda: playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)


@pytest.fixture(scope="session")
def browsers(launch: Callable[[], Browser]) -> Iterator[list[Browser]]:
    """The Chromium of this worker process, last in the list; before it those that crashed."""
    started: list[Browser] = []
    yield started
    for one in started:
        one.close()


@pytest.fixture(scope="module")
def browser(launch: Callable[[], Browser], browsers: list[Browser]) -> Browser:
    """The running Chromium; where it crashed in an earlier file, another one."""
    if not browsers or not browsers[-1].is_connected():
        browsers.append(launch())
    return browsers[-1]


def let_in(context: BrowserContext, served: Served, a_class: AClass) -> None:
    """Sign the class's teacher in without the page for it, which leaves a cookie in the browser."""
    signed = sign_in(
        served.database, login=a_class.teacher.login, password=PASSWORD, address="", now=datetime.now(UTC)
    )
    context.add_cookies([{"name": "plumbfall-teacher", "value": signed.token, "url": served.address}])
