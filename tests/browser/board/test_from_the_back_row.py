"""Every word of the wall's picture is read from the back row: sizes as the browser draws them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from math import atan, degrees
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from playwright.sync_api import Browser, BrowserContext

from app.figures.look import SIZES
from app.look.faces import FACES, TEXT
from app.practicals.board.reveal import BOARD_STEPS
from app.records.models.practical import LONGEST_QUESTION
from tests.browser.board.conftest import wall_of
from tests.figures.classes import a_class
from tests.serving import Served
from tests.web.board.reported import send

pytestmark = pytest.mark.browser
LETTERS = (Path(__file__).parent / "back_row.js").read_text(encoding="utf-8")
IN_THE_WINDOW = """() => document.querySelector(".wall-question").getBoundingClientRect().bottom <=
    document.querySelector(".wall-foot").getBoundingClientRect().top"""
DISTANCE_M, WIDE_M = 8.0, 2.0
"""A long classroom and a usual projected picture (from the specification of the look)."""
LOOKED_UP, READ = 12.0, 16.0
"""Minutes of arc of a capital, for looking up and for reading (from the specification of the look)."""


@cache
def capital(face: str) -> float:
    """The height of a face's capitals, as a share of the size of its letters."""
    font = TTFont(next(one for one in FACES if one.family == face).ttf)
    return float(font["OS/2"].sCapHeight / font["head"].unitsPerEm)


def minutes(face: str, share: float) -> float:
    """How large a capital of letters so large, as a share of the picture's width, is from the back row."""
    return degrees(atan(capital(face) * share * WIDE_M / DISTANCE_M)) * 60


def too_small(letters: Mapping[str, list[dict[str, Any]]]) -> list[str]:
    """What cannot be read from there."""
    found = [
        (one["words"], minutes(one["face"], one["size"]), READ if one["finding"] else LOOKED_UP)
        for one in letters["words"]
    ]
    for figure in letters["figures"]:
        drawn = SIZES[figure["drawing"]]
        found.append(
            (figure["drawing"], minutes(TEXT, drawn.small / drawn.width * figure["width"]), LOOKED_UP)
        )
    return sorted({f"{words}: {size:.1f}′" for words, size, least in found if size < least})


WIDE, NARROW = (1280, 720), (1024, 768)
UNLIKE, ALIKE = (0.25, 0.5, 1.0), (0.5,)
# The fullest wall in each shape of screen; the rest is between these.
OFTEN = [(32, UNLIKE, [WIDE]), (32, ALIKE, [NARROW])]
OTHERS = [
    (32, UNLIKE, [NARROW]),
    (32, ALIKE, [WIDE]),
    (12, UNLIKE, [WIDE, NARROW]),
    (12, ALIKE, [WIDE, NARROW]),
]


@pytest.mark.parametrize(
    ("benches", "masses", "sizes"),
    [*OFTEN, *(pytest.param(*one, marks=pytest.mark.long) for one in OTHERS)],
)
def test_words_can_be_looked_up_and_findings_read_from_eight_metres(
    benches: int,
    masses: tuple[float, ...],
    sizes: list[tuple[int, int]],
    served: Served,
    browser: Browser,
) -> None:
    asked = (benches == 32) == (len(masses) == 1)
    own = {"spread": ("a question as long as the plan allows " * 4)[: LONGEST_QUESTION - 1] + "?"}
    group = served.a_class(
        planned_benches=benches,
        title="Year 10, set 2, period 4",
        questions_asked=asked,
        own_questions=own,
    )
    send(group, a_class(benches, masses=masses))
    opened: list[BrowserContext] = []
    small = {}
    try:
        walls = [wall_of(served, browser, group, opened, size=size) for size in sizes]
        for step in BOARD_STEPS:
            walls[0].go(step)
            for wall in walls:
                wall.open()
                letters = wall.page.evaluate(LETTERS)
                assert letters["words"]
                assert wall.page.locator(".wall-question").count() == asked
                if asked:
                    assert wall.page.evaluate(IN_THE_WINDOW)
                small[f"{step} at {wall.page.viewport_size}"] = too_small(letters)
    finally:
        for context in opened:
            context.close()
    assert {where: words for where, words in small.items() if words} == {}
