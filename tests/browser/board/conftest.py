"""A wall in a real browser, with its teacher signed in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from app.analysis.readings import RunReadings
from app.practicals.board.reveal import step_board
from tests.browser.conftest import let_in
from tests.practicals.a_class import AClass
from tests.serving import Served
from tests.web.board.reported import send

# Two polls and a drawing on a busy machine; the wall itself asks every two seconds.
SOON = 20_000
# The revision of the picture's words and the address of its figure.
SHOWN = """() => {
    const picture = document.getElementById('picture');
    const figure = picture.querySelector('.wall-figure img');
    return [picture.dataset.revision, figure ? figure.getAttribute('src') : ''];
}"""


@dataclass
class WallPage:
    """The board of one class on a projector."""

    page: Page
    context: BrowserContext
    served: Served
    group: AClass

    @property
    def address(self) -> str:
        """The board's address."""
        return f"{self.served.address}/board/{self.group.practical_id}"

    @property
    def picture(self) -> Locator:
        """The part that follows the class."""
        return self.page.locator("#picture")

    @property
    def status(self) -> Locator:
        """The one sentence below."""
        return self.page.locator("#wall-status")

    def open(self) -> None:
        """Load the board."""
        self.page.goto(self.address)

    def go(self, step: str) -> None:
        """Take the board to a step without touching the page."""
        now = datetime.now(UTC)
        step_board(
            self.served.database,
            actor=self.group.teacher,
            practical_id=self.group.practical_id,
            now=now,
            to=step,
        )

    def at_step(self, step: str) -> None:
        """Wait until the page shows a step."""
        expect(self.picture).to_have_attribute("data-step", step, timeout=SOON)

    def shown_revisions(self) -> tuple[str, str]:
        """The revision of the picture's words and that of its figure, read in one go."""
        return _revisions(self.page.evaluate(f"() => ({SHOWN})()"))

    def note_every_revision(self) -> None:
        """From now on the page notes both whenever anything in it changes."""
        self.page.evaluate(
            f"""() => {{
                window.noted = [({SHOWN})()];
                new MutationObserver(() => window.noted.push(({SHOWN})())).observe(
                    document.body, {{ childList: true, subtree: true, attributes: true }});
            }}"""
        )

    def noted_revisions(self) -> list[tuple[str, str]]:
        """What was noted so far."""
        return [_revisions(shown) for shown in self.page.evaluate("() => window.noted")]


def _revisions(shown: list[str]) -> tuple[str, str]:
    words, source = shown
    found = re.search(r"/figures/(\d+)/", source)
    return words, found[1] if found else ""


OpenWall = Callable[..., WallPage]


@pytest.fixture
def a_wall(served: Served, browser: Browser) -> Iterator[OpenWall]:
    """Opens walls: runs sent by the class, size of the projector, language; closed after the test."""
    opened: list[BrowserContext] = []

    def open_wall(
        runs: list[RunReadings],
        *,
        size: tuple[int, int] = (1280, 720),
        language: str = "en",
        **options: object,
    ) -> WallPage:
        group = served.a_class(planned_benches=max(2, len({run.bench for run in runs})))
        send(group, runs)
        return wall_of(served, browser, group, opened, size=size, language=language, **options)

    yield open_wall
    for context in opened:
        context.close()


def wall_of(
    served: Served,
    browser: Browser,
    group: AClass,
    opened: list[BrowserContext],
    *,
    size: tuple[int, int] = (1280, 720),
    language: str = "en",
    **options: object,
) -> WallPage:
    """A browser at the wall of a class, without motion, so that what is measured stands still."""
    width, height = size
    settings = {"locale": language, "reduced_motion": "reduce", **options}
    context = browser.new_context(viewport={"width": width, "height": height}, **settings)  # type: ignore[arg-type]
    opened.append(context)
    let_in(context, served, group)
    wall = WallPage(context.new_page(), context, served, group)
    wall.page.on("pageerror", lambda error: pytest.fail(f"the page's script failed: {error}"))
    wall.open()
    return wall


@contextmanager
def polls(wall: WallPage, how_many: int = 2) -> Iterator[None]:
    """Wait at the end until the page has asked so often again."""
    yield
    for _ in range(how_many):
        with wall.page.expect_response("**/picture", timeout=SOON):
            pass
