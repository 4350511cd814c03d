"""Figures are drawn one at a time, once each, and always to the same bytes."""

from __future__ import annotations

import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import pytest

from app.figures import gallery
from app.figures.studio import Drawing, Studio
from tests.figures.classes import a_class, a_run, worked_out

SPREAD = Drawing("school", 1, 7, "spread", "wall", "en", "bright")


def test_forty_pages_asking_at_once_share_one_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    times: list[str] = []
    build = gallery.build

    def counted(name: str, *rest: Any, **options: Any) -> Any:
        times.append(name)
        return build(name, *rest, **options)

    monkeypatch.setattr(gallery, "build", counted)
    result, shelf = worked_out(a_class(12)), Studio()
    with ThreadPoolExecutor(20) as pool:
        drawn = list(pool.map(lambda _: shelf.draw(SPREAD, result, str), range(40)))
    assert times == ["spread"]
    assert len(set(drawn)) == 1


def test_two_figures_are_never_drawn_at_the_same_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not even by two studios: matplotlib is one for the whole process."""
    inside, most = [0], [0]
    build = gallery.build

    def watched(*rest: Any, **options: Any) -> Any:
        inside[0] += 1
        most[0] = max(most[0], inside[0])
        try:
            return build(*rest, **options)
        finally:
            inside[0] -= 1

    monkeypatch.setattr(gallery, "build", watched)
    result, shelves = worked_out(a_class(6)), (Studio(), Studio())
    wanted = [
        Drawing("school", 1, revision, name, "wall", "en", "dark")
        for revision in range(3)
        for name in gallery.DRAWERS
    ]
    with ThreadPoolExecutor(8) as pool:
        drawn = list(pool.map(lambda one: shelves[one.revision % 2].draw(one, result, str), wanted))
    assert most == [1]
    assert len(drawn) == 3 * len(gallery.DRAWERS)


def test_a_failed_drawing_is_told_to_all_who_wait_and_tried_again_later(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    result, shelf = worked_out(a_class(4)), Studio()
    with monkeypatch.context() as broken:
        broken.setattr(gallery, "build", lambda *_, **__: (_ for _ in ()).throw(RuntimeError("no ink")))
        with pytest.raises(RuntimeError):
            shelf.draw(SPREAD, result, str)
    assert shelf.draw(SPREAD, result, str).startswith(b"<?xml")


def test_a_printed_figure_is_a_picture_of_240_dots_an_inch() -> None:
    """Width and height stand in the PNG's header (ISO/IEC 15948, 11.2.2); the sheet is 318 by 190 points."""
    result, shelf = worked_out([a_run(1)]), Studio()
    png = shelf.draw(replace(SPREAD, size="page", kind="png"), result, str)
    assert png.startswith(b"\x89PNG")
    width, height = (int.from_bytes(png[start : start + 4]) for start in (16, 20))
    assert (width, height) == (318 * 240 // 72, 190 * 240 // 72)
    assert shelf.draw(replace(SPREAD, size="page"), result, str).startswith(b"<?xml")


def test_the_oldest_drawings_are_let_go() -> None:
    result, shelf = worked_out([a_run(1)]), Studio(keep=2)
    for revision in (1, 2, 3):
        shelf.draw(Drawing("school", 1, revision, "ledger", "wall", "en", "bright"), result, str)
    assert shelf.ready(Drawing("school", 1, 1, "ledger", "wall", "en", "bright")) is None
    assert shelf.ready(Drawing("school", 1, 3, "ledger", "wall", "en", "bright")) is not None


@pytest.mark.parametrize("name", sorted(gallery.DRAWERS))
def test_the_same_result_gives_the_same_bytes_and_no_date(name: str) -> None:
    result = worked_out(a_class(12))
    first, second = (gallery.write_svg(gallery.build(name, result, str)) for _ in range(2))
    assert first == second
    assert b"<dc:date>" not in first
    assert len(first) < 200_000


def test_typed_text_is_neither_markup_nor_formula_in_a_figure() -> None:
    result = worked_out([a_run("<b>"), a_run("$x$"), a_run("&")])
    svg = gallery.write_svg(gallery.build("spread", result, str))
    assert b"<b>" not in svg.replace(b"<!-- &lt;b&gt; -->", b"")


def test_arabic_letters_are_joined_before_they_are_drawn() -> None:
    """Seen (U+0633) has one glyph alone and another at the start of a word; only the latter is used."""

    def glyphs(words: str) -> set[bytes]:
        svg = gallery.write_svg(
            gallery.build(
                "spread",
                worked_out([]),
                lambda message: words if "No bench" in message.template else str(message),
            )
        )
        return set(re.findall(rb'<path id="(PlumbArabic-Regular-[0-9a-f]+)"', svg))

    alone = glyphs("س")
    assert len(alone) == 1
    assert not alone & glyphs("سعة")


def test_the_drawing_library_is_brought_in_beside_other_work() -> None:
    """In a process of its own, since here it is in already."""
    code = (
        "import sys, threading, app.figures.studio as studio; assert 'matplotlib' not in sys.modules;"
        "studio.warm(); (beside,) = {*threading.enumerate()} - {threading.main_thread()}; beside.join();"
        "sys.exit('app.figures.gallery' not in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
