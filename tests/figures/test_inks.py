"""The colours of drawings and PDFs are the stylesheet's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from app import inks
from app.figures.look import ROOMS

STYLESHEET = Path(__file__).resolve().parents[2] / "static" / "css" / "plumbfall.css"
VARIABLES = {
    "paper": "sheet",
    "ink": "ink",
    "soft": "ink-soft",
    "band": "band",
    "band_ink": "band-ink",
    "accepted": "accepted",
    "flag": "flag",
}


def colours(selector: str) -> dict[str, str]:
    """The variables of the first block of the stylesheet that begins so."""
    block = STYLESHEET.read_text(encoding="utf-8").split(f"\n{selector} {{", 1)[1].split("}", 1)[0]
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


@pytest.mark.parametrize(("room", "selector"), [("bright", ":root"), ("dark", ":root.wall-dark")])
def test_a_drawing_has_the_colours_of_the_page_around_it(room: str, selector: str) -> None:
    page = colours(selector)
    assert {ink: getattr(ROOMS[room], ink) for ink in VARIABLES} == {
        ink: page[name] for ink, name in VARIABLES.items()
    }


def test_print_has_the_colours_of_the_bright_page() -> None:
    page = colours(":root")
    assert (
        page["ink"],
        page["ink-soft"],
        page["rule"],
        page["sheet"],
    ) == (inks.INK, inks.INK_SOFT, inks.RULE, inks.SHEET)
