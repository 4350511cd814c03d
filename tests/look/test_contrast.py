"""What is written or drawn can be told from what lies under it (WCAG 2.2, 1.4.3 and 1.4.11)."""

from __future__ import annotations

import pytest

from app.look.tokens import DARK, LIGHT, PRINT_INKS, WALL_BRIGHT, WALL_DARK, Inks

TEXT, NOT_TEXT = 4.5, 3.0
"""WCAG 2.2, success criteria 1.4.3 (contrast, minimum) and 1.4.11 (non-text contrast)."""
SURFACES = {
    "light": LIGHT,
    "dark": DARK,
    "wall bright": WALL_BRIGHT,
    "wall dark": WALL_DARK,
    "print": PRINT_INKS,
}


def luminance(colour: str) -> float:
    """Relative luminance, as WCAG 2.2 defines it for sRGB."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, as WCAG 2.2 defines it."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_ratio_is_the_one_of_the_standard() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21)  # WCAG 2.2, "contrast ratio": 1 to 21
    # The W3C's "Understanding 1.4.3" names #767676 on white as passing; #777777 falls short (from memory).
    assert contrast("#767676", "#ffffff") >= TEXT > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("name", SURFACES)
def test_what_is_written_can_be_read(name: str) -> None:
    inks = SURFACES[name]
    written = [
        *((ink, paper) for ink in ("ink", "soft") for paper in ("paper", "sheet", "band")),
        *(
            (ink, paper)
            for ink in ("press", "accepted", "flag", "bad", "good")
            for paper in ("paper", "sheet")
        ),
        *((ink, f"{tint}_paper") for tint in ("flag", "bad", "good") for ink in ("ink", tint)),
        ("press_ink", "press"),
        ("paper", "ink"),
        ("paper", "good"),
    ]
    assert _too_weak(inks, written, TEXT) == {}


@pytest.mark.parametrize("name", SURFACES)
def test_edges_and_marks_can_be_seen(name: str) -> None:
    drawn = [("edge", "paper"), ("edge", "sheet"), ("press", "band")]
    assert _too_weak(SURFACES[name], drawn, NOT_TEXT) == {}


@pytest.mark.parametrize(
    ("name", "ratios"),
    [
        ("light", (14.7, 6.9, 3.7, 8.6, 6.3, 5.8, 7.5, 7.5, 11.7)),
        ("dark", (15.1, 9.0, 5.2, 11.4, 8.1, 10.5, 10.1, 11.2, 9.4)),
        ("wall bright", (17.2, 9.4, 5.4, 10.9, 7.8, 7.6, 9.2, None, 10.0)),
        ("wall dark", (16.2, 11.3, 6.4, 12.7, 9.2, 11.5, 10.8, None, 6.5)),
    ],
)
def test_the_inks_stand_out_as_the_specification_of_the_look_says(
    name: str, ratios: tuple[float | None, ...]
) -> None:
    inks = SURFACES[name]
    names = ("ink", "soft", "edge", "press", "accepted", "flag", "bad", "good")
    found = [contrast(getattr(inks, ink), inks.paper) for ink in names] + [contrast(inks.ink, inks.band)]
    for ratio, expected in zip(found, ratios, strict=True):
        assert expected is None or ratio == pytest.approx(expected, abs=0.06)


def _too_weak(inks: Inks, pairs: list[tuple[str, str]], least: float) -> dict[tuple[str, str], float]:
    ratios = {pair: contrast(*(getattr(inks, name) for name in pair)) for pair in pairs}
    return {pair: round(ratio, 2) for pair, ratio in ratios.items() if ratio < least}
