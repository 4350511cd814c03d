"""Depth and room temperature from the plan to the papers: a teacher's laptop and a bench's phone, one class.

The way to the first saved run is counted in taps, and compared with that of a class without the two.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from app.practicals.board.snapshot import class_snapshot
from tests.browser.desk.conftest import SignedIn
from tests.browser.phone.phone import SMALL, Thumb
from tests.commands import ROOT, called
from tests.serving import Served

pytestmark = pytest.mark.browser
TWO_TAPS = 2
"""What the two readings may cost a student."""
TUBE = {"tube_length": "100", "caps": "2", "settled_depth": "5,2"}
ONE_ALLOWANCE = {"tube_length": "100", "end_allowance": "7,2"}


class TypingThumb(Thumb):
    """It also taps a field before it types there, which counts."""

    def type(self, step: str, **typed: str) -> None:
        """Fill in what a step has not got yet, and go on."""
        expect(self.page.locator(f'section.step[data-step="{step}"]')).to_be_visible()
        for name, text in typed.items():
            if self.page.input_value(f"#{name}") != text:
                self.tap(f"#{name}")
                self.page.fill(f"#{name}", text)
        self.tap("[data-go=next]")

    def send(self, run: int) -> None:
        self.tap("[data-go=send]")
        self.page.get_by_text(f"Run {run}").first.wait_for()


@contextmanager
def _thumb(browser: Browser) -> Iterator[TypingThumb]:
    context = browser.new_context(viewport=SMALL, has_touch=True, is_mobile=True, locale="en-GB")
    try:
        yield TypingThumb(context.new_page())
    finally:
        context.close()


def _first_run(thumb: TypingThumb, served: Served, code: str, tube: dict[str, str]) -> int:
    """Taps from the scanned code to the first saved run; nothing but what the plan knows is in its fields."""
    thumb.page.goto(f"{served.address}/j/{code}")
    thumb.tap('button[value="3"]')
    thumb.tap("main button.main")
    thumb.type("weigh", shot_mass="340")
    thumb.type("tube", **tube)
    thumb.type("start", start_temperature="19,2")
    thumb.type("count", inversions="50")
    thumb.type("end", end_temperature="21,4")
    thumb.send(1)
    return thumb.taps


@pytest.mark.long
def test_depth_and_room_cost_at_most_two_taps_before_the_first_saved_run(
    browser: Browser, served: Served
) -> None:
    taps = []
    room = Decimal("21.3")
    for plan, tube in (({}, ONE_ALLOWANCE), ({"depth_measured": True, "room_temperature_C": room}, TUBE)):
        a_class = served.a_class(**plan)
        with _thumb(browser) as thumb:
            taps.append(_first_run(thumb, served, a_class.practical.join_code or "", tube))
        assert len(class_snapshot(served.database, a_class.practical_id, actor=a_class.teacher).runs) == 1
    without, with_both = taps
    assert with_both <= without + TWO_TAPS


def _plan(page: Page, served: Served) -> int:
    """A new practical whose benches measure; its number."""
    page.goto(f"{served.address}/desk/new")
    page.get_by_label("Title").fill("Measured ends")
    page.get_by_label("Each bench measures the depth").check()
    page.get_by_role("button", name="Save the practical").click()
    page.wait_for_url(lambda address: not address.endswith("/new"))
    return int(page.url.partition("/desk/")[2].partition("/")[0])


def _cards(page: Page, served: Served, practical: int) -> str:
    page.goto(f"{served.address}/desk/{practical}/cards")
    expect(page.get_by_text("how deep the shot lies").first).to_be_visible()
    body = page.request.get(f"{served.address}/desk/{practical}/cards.pdf").body()
    return " ".join(PdfReader(io.BytesIO(body)).pages[0].extract_text().split())


def _open(page: Page, served: Served, practical: int) -> str:
    """Opens with the room temperature typed beside the button; the code for the phones."""
    page.goto(f"{served.address}/desk/{practical}/")
    page.get_by_label("Room temperature").first.fill("21,3")
    page.get_by_role("button", name="Open for benches").last.click()
    expect(page.get_by_text("21.3 °C").first).to_be_visible()
    page.goto(f"{served.address}/desk/{practical}/code")
    return page.locator("#join-code").inner_text().replace(" ", "").replace("\u2009", "")


@pytest.mark.long
def test_depth_and_room_go_from_the_plan_to_the_papers(
    browser: Browser, served: Served, signed_in: SignedIn, tmp_path: Path
) -> None:
    page = signed_in(served.a_class())
    practical = _plan(page, served)
    assert "Caps; depth of the shot" in _cards(page, served, practical)
    code = _open(page, served, practical)
    with _thumb(browser) as thumb:
        _first_run(thumb, served, code, TUBE)
        thumb.tap("[data-next-run]")
        expect(thumb.page.locator("[data-carried]")).to_contain_text("2 cm · 5,2 cm")
        thumb.type("start", start_temperature="19,3")
        thumb.type("count", inversions="50")
        thumb.type("end", end_temperature="21,5")
        thumb.send(2)
    page.goto(f"{served.address}/desk/{practical}/")
    page.get_by_role("button", name="Finish …").click()
    page.get_by_role("button", name="Finish").last.click()
    expect(page.get_by_role("button", name="Reopen with a new code")).to_be_visible()
    _papers(page, served, practical, tmp_path)


def _papers(page: Page, served: Served, practical: int, folder: Path) -> None:
    table = page.request.get(f"{served.address}/desk/{practical}/runs.csv").body()
    rows = list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"))))
    columns = ("caps_cm", "settled_depth_cm", "end_allowance_cm", "class_room_temperature_C")
    assert [[row[name] for name in columns] for row in rows] == [["2", "5.2", "7.2", "21.3"]] * 2
    book = openpyxl.load_workbook(
        io.BytesIO(page.request.get(f"{served.address}/desk/{practical}/runs.xlsx").body())
    )
    head, *cells = book.worksheets[0].iter_rows(values_only=True)
    assert [[row[head.index(name)] for name in columns] for row in cells] == [[2, 5.2, 7.2, 21.3]] * 2
    page.goto(f"{served.address}/board/{practical}/report")
    report = " ".join(page.locator("main").inner_text().split())
    assert "7.2 cm (2 cm + 5,2 cm)" in report
    assert "caps and settled shot, measured by each bench" in report
    assert "Room temperature" in report
    assert "21.3" in report
    (folder / "runs.csv").write_bytes(table)
    done = called(
        ROOT, "analyse", str(folder / "runs.csv"), "--accepted", "128", "--room-temperature", "21.3", "--json"
    )
    found = json.loads(done.stdout)
    assert found["room_temperature_C"] == 21.3
    assert [(run["caps_m"], run["settled_depth_m"]) for run in found["runs"]] == [(0.02, 0.052)] * 2
