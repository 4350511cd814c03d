"""The README's four pictures of the made-up class, into static/pictures: `python -m tests.pictures`.

A phone at its check, the teacher's page of the lesson, the wall, the report; light, in English.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from app.practicals.board.reveal import step_board
from app.practicals.made_up.demo import LoadedDemo, load_demo
from app.practicals.people.teachers import sign_in
from app.records.choices import BoardStep
from tests.browser.conftest import ARGUMENTS
from tests.serving import ROOT, Served, chromium_path, serving

FOLDER = ROOT / "static" / "pictures"
LARGEST = 100 * 1024
"""Bytes of one picture: four of them are read over a slow line too."""
COLOURS = 64
"""A page has few; a palette of them takes a third of the bytes."""
WINDOWS = {"phone": (360, 740), "desk": (1280, 800), "wall": (1280, 720), "report": (900, 1200)}
ADDRESS_FOR_PHONES = "http://192.168.1.20:8480"  # invented


def main() -> None:
    """Take them all, each as it is seen without scrolling."""
    FOLDER.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        serving(Path(folder), PLUMBFALL_BASE_ADDRESS=ADDRESS_FOR_PHONES) as served,
        sync_playwright() as playwright,
    ):
        demo = load_demo(served.database, now=datetime.now(UTC))
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        _teacher(browser, served, demo)
        _phone(browser, served, demo)
        browser.close()


def _teacher(browser: Browser, served: Served, demo: LoadedDemo) -> None:
    now = datetime.now(UTC)
    token = sign_in(served.database, login="demo", password=demo.password, address="", now=now).token
    here = f"{served.address}/{{}}/{demo.practical_id}"

    def open_(name: str, address: str) -> None:
        with _page(browser, name) as page:
            page.context.add_cookies([{"name": "plumbfall-teacher", "value": token, "url": served.address}])
            page.goto(address)
            _keep(page, name)

    open_("desk", here.format("desk") + "/")
    step_board(
        served.database,
        actor=demo.teacher,
        practical_id=demo.practical_id,
        now=now,
        to=BoardStep.SEPARATED,
    )
    open_("wall", here.format("board"))
    open_("report", here.format("board") + "/report")


def _phone(browser: Browser, served: Served, demo: LoadedDemo) -> None:
    """The free bench of the made-up class, at the check of a run that it typed."""
    with _page(browser, "phone") as page:
        page.goto(f"{served.address}/j/{demo.join_code}")
        page.click('button[value="13"]')
        page.click("main button.main")
        for fields in ({"shot_mass": "258"}, {}, {"start_temperature": "19.3"}, {"inversions": "60"}):
            _fill_and_go_on(page, fields)
        _fill_and_go_on(page, {"end_temperature": "22.9"})
        page.wait_for_selector("[data-go=send]:not([hidden])")
        _keep(page, "phone")


def _fill_and_go_on(page: Page, fields: dict[str, str]) -> None:
    step = page.get_attribute("section.step:not([hidden])", "data-step")
    for name, text in fields.items():
        page.fill(f"#{name}", text)
    page.click("[data-go=next]")
    page.wait_for_function(
        "before => document.querySelector('section.step:not([hidden])').dataset.step !== before", arg=step
    )


@contextmanager
def _page(browser: Browser, name: str) -> Iterator[Page]:
    width, height = WINDOWS[name]
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme="light", locale="en-GB"
    )
    yield context.new_page()
    context.close()


def _keep(page: Page, name: str) -> None:
    page.wait_for_load_state("networkidle")
    page.evaluate("document.fonts.ready")
    picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB").quantize(COLOURS)
    file = FOLDER / f"{name}.png"
    picture.save(file, optimize=True)
    if file.stat().st_size > LARGEST:
        raise SystemExit(f"{file.name} has {file.stat().st_size} bytes, more than {LARGEST}.")


if __name__ == "__main__":
    main()
