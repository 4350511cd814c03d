"""A phone follows the wall by itself: not over a run that is typed, nor over what was typed, and back."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from playwright.sync_api import expect

from app.figures.look import SIZES
from app.practicals.benches.watch import renumber_bench
from app.practicals.board.reveal import show_bench_results, step_board
from tests.browser.barriers import barriers_in_both_themes
from tests.browser.phone.phone import Phone

pytestmark = pytest.mark.browser
SMALL_IN_PRINT = """() => [...document.querySelectorAll('main, main *')]
  .filter(e => e.checkVisibility() && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
  .filter(e => parseFloat(getComputedStyle(e).fontSize) < 8 * 96 / 72 - 0.01)
  .map(e => e.outerHTML.slice(0, 100))"""
PRINTED = """() => [...document.querySelectorAll('img')]
  .filter(i => i.checkVisibility()).map(i => [i.naturalWidth, i.width])"""
DRAWN = "() => document.querySelector('#class-now img').naturalWidth > 300"


def test_the_phone_follows_every_step_of_the_wall_and_keeps_what_is_typed(phone: Phone) -> None:
    """The fixture's bench stands at the check of its first run."""
    group, page = phone.a_class, phone.page
    database = phone.served.database
    here = {"actor": group.teacher, "practical_id": group.practical_id, "now": datetime.now(UTC)}

    def shows(step: str) -> None:
        expect(page.locator("#class-now")).to_have_attribute("data-step", step, timeout=15_000)

    step_board(database, to="spread", **here)  # type: ignore[arg-type]
    expect(page.locator("#class")).to_be_hidden()
    phone.send()
    shows("spread")
    expect(page.locator("#class")).to_contain_text("The class has no interval yet.")
    page.wait_for_function(DRAWN)
    phone.go("/bench/runs")
    shows("spread")
    page.fill("#own-1", "21")
    phone.context.set_offline(True)
    for step in ("line", "percent error", "separated", "ledger"):
        step_board(database, to=step, **here)  # type: ignore[arg-type]
    phone.context.set_offline(False)
    shows("ledger")
    expect(page.locator("#class")).to_contain_text("To take home")
    assert barriers_in_both_themes(page) == ""
    step_board(database, to="percent error", **here)  # type: ignore[arg-type]
    shows("percent error")
    page.wait_for_function(DRAWN)
    renumber_bench(database, bench_number=7, right_number=8, **here)  # type: ignore[arg-type]
    expect(page.locator("#class-now")).to_have_attribute("data-number", "8")
    assert page.inner_text(".whose .mark").endswith("8")
    show_bench_results(database, shown=False, **here)  # type: ignore[arg-type]
    shows("")
    expect(page.locator("#class-now")).to_be_empty()
    assert page.input_value("#own-1") == "21"


def test_nothing_on_the_printed_sheet_is_under_8_points_and_every_figure_is_on_it(phone: Phone) -> None:
    """A4 is the narrower paper: 210 mm less two margins of 12 mm."""
    smallest, points = SIZES["page"].small, SIZES["page"].width
    group, page = phone.a_class, phone.page
    phone.send()
    phone.waits_for("Saved as run 1")
    now, database = datetime.now(UTC), phone.served.database
    step_board(database, actor=group.teacher, practical_id=group.practical_id, now=now, to="ledger")
    page.set_viewport_size({"width": round(186 / 25.4 * 96), "height": 1000})
    phone.go("/bench/take-home")
    page.emulate_media(media="print", color_scheme="dark")
    page.wait_for_load_state("networkidle")
    assert page.evaluate(SMALL_IN_PRINT) == []
    figures = page.evaluate(PRINTED)
    assert len(figures) == 5
    for natural, shown in figures:
        assert natural > 0, "it has come"
        assert smallest * shown / points >= 8 * 96 / 72
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(27, 34, 43)", (
        "ink, also from a dark page"
    )
