"""A drawing has the colours of the page around it, and is set in the faces of the pages."""

from __future__ import annotations

import re

import pytest
from matplotlib.font_manager import FontProperties, fontManager

from app.figures import gallery
from app.figures.look import ROOMS
from app.look.faces import FACES
from app.look.stylesheet import desk, wall
from app.look.tokens import PRINT_INKS

VARIABLES = ("ink", "soft", "band", "accepted", "flag", "press")


def colours(stylesheet: str, selector: str) -> dict[str, str]:
    """The variables of the first block of a stylesheet that begins so."""
    block = stylesheet.split(f"\n{selector} {{", 1)[1].split("}", 1)[0]
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


@pytest.mark.parametrize(
    ("room", "page", "paper"),
    [
        ("bright", colours(wall(), ":root"), "paper"),
        ("dark", colours(wall(), ":root.wall-dark"), "paper"),
        ("page", colours(desk(), ":root"), "sheet"),
    ],
)
def test_a_drawing_has_the_colours_of_the_page_around_it(room: str, page: dict[str, str], paper: str) -> None:
    inks = ROOMS[room]
    assert {name: getattr(inks, name) for name in VARIABLES} == {name: page[name] for name in VARIABLES}
    assert inks.paper == page[paper]


def test_a_printed_drawing_lies_on_white() -> None:
    assert ROOMS["print"] == PRINT_INKS
    assert PRINT_INKS.paper == "#ffffff"


@pytest.mark.parametrize(
    ("weight", "file"), [("normal", "plumb-text-400.ttf"), ("bold", "plumb-text-600.ttf")]
)
def test_a_drawing_is_set_in_the_face_of_the_pages(weight: str, file: str) -> None:
    family = gallery.SETTINGS["font.family"][0]
    found = fontManager.findfont(FontProperties(family=family, weight=weight), fallback_to_default=False)
    assert found == str(next(face.ttf for face in FACES if face.ttf.name == file))
