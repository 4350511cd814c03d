"""Pictures of every page and state, for people to look at before and after a change of the look.

    python -m tests.browser.screenshots FOLDER [--only 'wall-*-1280-en-*']

A picture's name is page-width-language-theme (on the wall the room). All of them take some minutes; `--only`
takes patterns of names, as a shell would match them. Nothing is compared here.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from fnmatch import fnmatch
from itertools import product
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from app.practicals.board.reveal import step_board
from tests.browser.conftest import ARGUMENTS
from tests.browser.phone.phone import Phone
from tests.browser.screenshots.phones import walk
from tests.browser.screenshots.scenes import Scenes, set_up
from tests.browser.screenshots.views import (
    DESK_WINDOWS,
    LANGUAGES,
    PHONE_WINDOWS,
    ROOMS,
    THEMES,
    WALL_WINDOWS,
    View,
    desk_views,
    wall_views,
)
from tests.serving import Served, chromium_path, serving


class Album:
    """The folder, and which pictures are wanted."""

    def __init__(self, folder: Path, only: list[str]) -> None:
        self._folder, self._only = folder, only
        folder.mkdir(parents=True, exist_ok=True)

    def wants(self, name: str) -> bool:
        """Whether one pattern fits."""
        return any(fnmatch(name, pattern) for pattern in self._only)

    def wants_some(self, ending: str) -> bool:
        """Whether a pattern may fit a name that ends so."""
        tails = [pattern.rsplit("*", 1)[-1] for pattern in self._only]
        return any(fnmatch(ending, f"*{tail}") or tail.endswith(ending) for tail in tails)

    def take(self, page: Page, name: str, *, whole: bool = True) -> None:
        """The picture of this page, if it is wanted; the wall's is what the projector shows, not `whole`."""
        if self.wants(name):
            page.wait_for_load_state("load")
            page.evaluate("document.fonts.ready")
            page.screenshot(path=str(self._folder / f"{name}.png"), full_page=whole)


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__.splitlines()[0], epilog="Names: page-width-language-theme."
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", action="append", help="a pattern of names; may be given more than once")
    options = parser.parse_args()
    album = Album(options.folder, options.only or ["*"])
    with (
        tempfile.TemporaryDirectory() as folder,
        serving(Path(folder), PLUMBFALL_BASE_ADDRESS="http://192.168.1.20:8480") as served,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        scenes = set_up(served.database)
        _desk(browser, served, scenes, album)
        _wall(browser, served, scenes, album)
        _phone(browser, served, album)
        browser.close()


def _desk(browser: Browser, served: Served, scenes: Scenes, album: Album) -> None:
    for (width, height), language, theme in product(DESK_WINDOWS, LANGUAGES, THEMES):
        wanted = [
            (view, name)
            for view in desk_views(scenes)
            if album.wants(name := f"{view.name}-{width}-{language}-{theme}")
        ]
        if not wanted:
            continue
        with _teacher(browser, served, scenes, (width, height), language, theme) as page:
            for view, name in wanted:
                page.goto(served.address + view.path)
                _propose(page, view)
                album.take(page, name)


def _propose(page: Page, view: View) -> None:
    if view.name == "planner-planned":
        page.click("button[name=action][value=propose]")


def _wall(browser: Browser, served: Served, scenes: Scenes, album: Album) -> None:
    for (width, height), language, room in product(WALL_WINDOWS, LANGUAGES, ROOMS):
        wanted = [
            (view, name)
            for view in wall_views(scenes)
            if album.wants(name := f"{view.name}-{width}-{language}-{room}")
        ]
        if not wanted:
            continue
        with _teacher(browser, served, scenes, (width, height), language, "light") as page:
            page.context.add_cookies([{"name": "plumbfall-room", "value": room, "url": served.address}])
            for view, name in wanted:
                if view.group and view.step:
                    step_board(
                        served.database,
                        actor=scenes.teacher,
                        practical_id=view.group.practical_id,
                        now=datetime.now(UTC),
                        to=view.step,
                    )
                page.goto(served.address + view.path)
                album.take(page, name, whole=False)


def _phone(browser: Browser, served: Served, album: Album) -> None:
    for (width, height), language, theme in product(PHONE_WINDOWS, LANGUAGES, THEMES):
        ending = f"{width}-{language}-{theme}"
        if not album.wants_some(ending):
            continue

        def take(phone: Phone, screen: str, ending: str = ending) -> None:
            album.take(phone.page, f"{screen}-{ending}")

        walk(
            browser,
            served,
            take,
            viewport={"width": width, "height": height},
            locale=language,
            color_scheme=theme,
        )


@contextmanager
def _teacher(
    browser: Browser, served: Served, scenes: Scenes, window: tuple[int, int], language: str, theme: str
) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": window[0], "height": window[1]},
        locale=language,
        color_scheme="dark" if theme == "dark" else "light",
    )
    context.add_cookies([{"name": "plumbfall-teacher", "value": scenes.token, "url": served.address}])
    yield context.new_page()
    context.close()


main()
