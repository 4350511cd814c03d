"""The wall fits its projector and is read from the back row, whatever the class and the language."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from app.practicals.board.reveal import BOARD_STEPS
from app.web.languages import LANGUAGES
from tests.browser.board.conftest import wall_of
from tests.figures.classes import a_class
from tests.serving import Served
from tests.web.board.reported import send

pytestmark = pytest.mark.browser
MEASURE = (Path(__file__).parent / "measure.js").read_text(encoding="utf-8")
SMALL_WALL, LARGE_WALL = (1280, 720), (1920, 1080)
# From six wall heights away a capital of such letters spans 9 minutes of arc; normal sight just reads 5 (from
# memory). That the last row sits six wall heights away is common practice, no source.
SMALLEST_LETTERS = 0.022


# The longest words on the fullest and the emptiest wall, and the other direction. Lengths follow the height
# of the wall, so one language shows that the larger wall is the smaller one scaled.
WALLS = [(4, "de", SMALL_WALL), (12, "ar", LARGE_WALL), (32, "de", SMALL_WALL)]
OTHERS = [
    (4, "ar", LARGE_WALL),
    (12, "fr", SMALL_WALL),
    *((32, language, SMALL_WALL) for language in LANGUAGES if language != "de"),
    (32, "en", LARGE_WALL),
]


@pytest.mark.parametrize(
    ("benches", "language", "size"),
    [*WALLS, *(pytest.param(*one, marks=pytest.mark.long) for one in OTHERS)],
)
def test_no_scroll_bar_no_clipped_label_and_no_small_letters(
    benches: int, language: str, size: tuple[int, int], served: Served, browser: Browser
) -> None:
    group = served.a_class(planned_benches=benches, title="Year 10, set 2, period 4")
    send(group, a_class(benches))
    opened: list[BrowserContext] = []
    try:
        wall = wall_of(served, browser, group, opened, size=size, language=language)
        for step in BOARD_STEPS:
            wall.go(step)
            wall.open()
            _check(wall.page, f"{benches} benches, {step}")
    finally:
        for context in opened:
            context.close()


def _check(page: Page, where: str) -> None:
    language = page.locator("html").get_attribute("lang")
    measured = page.evaluate(MEASURE)
    where = f"{where}, {language}, {page.viewport_size}"
    assert measured["scrolls"] == [], f"{where}: {measured['scrolls']}"
    assert measured["clipped"] == [], f"{where}: {measured['clipped']}"
    assert measured["overlapping"] == [], f"{where}: {measured['overlapping']}"
    height = page.viewport_size["height"] if page.viewport_size else 0
    assert measured["smallest"] >= SMALLEST_LETTERS * height, f"{where}: {measured['smallest']} px letters"
