"""Bench cards as a PDF: A4 or Letter, one card to a page or two."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from fpdf import FPDF

from app.exports.card_layouts import NO_ADDRESS, Layout, half_page, whole_page
from app.exports.card_pen import INK, SMALLEST_PT, SOFT, Box, Pen, Say
from app.exports.card_text import BenchCard
from app.exports.typeface import add_typefaces

__all__ = ["NO_ADDRESS", "SMALLEST_PT", "Paper", "cards_pdf"]

Paper = Literal["A4", "Letter"]
MARGIN_MM = 10.0
HALF_MARGIN_MM = 7.5
"""Above and below a card that shares its page; printers reach to 5 mm from the edge (common practice)."""
_LARGEST_PT = {1: 11.5, 2: 9.5}
_LEADING = {1: 0.46, 2: 0.42}
_TIGHTEST_LEADING = 0.37


def cards_pdf(
    cards: Sequence[BenchCard],
    *,
    say: Say,
    paper: Paper = "A4",
    per_page: int = 1,
    right_to_left: bool = False,
) -> bytes:
    """The cards as one PDF. `say` puts a sentence into the reader's language.

    Domain: at least one card, one or two to a page; ValueError otherwise.
    """
    if not cards or per_page not in (1, 2):
        raise ValueError("there must be a card, and one or two to a page")
    pdf = FPDF(orientation="portrait", unit="mm", format=paper)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.c_margin = 0
    add_typefaces(pdf, shaping=right_to_left)
    layout = whole_page if per_page == 1 else half_page
    size, leading = 0.0, 0.0
    for start in range(0, len(cards), per_page):
        pdf.add_page()
        pdf.set_text_color(*INK)
        for place, card in enumerate(cards[start : start + per_page]):
            box = _box(pdf, per_page, place)
            if not size:
                size, leading = _fitting(pdf, layout, _longest(cards, say), say, right_to_left, box, per_page)
            pdf.set_draw_color(*INK)
            layout(Pen(pdf, say, rtl=right_to_left, size=size, leading=leading, dry=False), card, box)
        if per_page == 2:
            _cut_line(pdf)
    return bytes(pdf.output())


def _box(pdf: FPDF, per_page: int, place: int) -> Box:
    height, margin = pdf.h / per_page, MARGIN_MM if per_page == 1 else HALF_MARGIN_MM
    return Box(MARGIN_MM, place * height + margin, pdf.w - 2 * MARGIN_MM, height - 2 * margin)


def _longest(cards: Sequence[BenchCard], say: Say) -> BenchCard:
    """The card with the most text: measuring that one is enough, and all cards get the same type."""
    return max(cards, key=lambda card: sum(len(say(step)) for step in card.steps) + 20 * len(card.figures))


def _fitting(
    pdf: FPDF, layout: Layout, card: BenchCard, say: Say, rtl: bool, box: Box, per_page: int
) -> tuple[float, float]:
    """The largest type, in points, at which the card fits its box; then closer lines, never smaller type."""
    size, leading = _LARGEST_PT[per_page], _LEADING[per_page]
    while layout(Pen(pdf, say, rtl=rtl, size=size, leading=leading, dry=True), card, box) > box.foot:
        if size > SMALLEST_PT:
            size -= 0.25
        elif leading > _TIGHTEST_LEADING:
            leading -= 0.01
        else:
            break
    return size, leading


def _cut_line(pdf: FPDF) -> None:
    pdf.set_draw_color(*SOFT)
    pdf.set_dash_pattern(dash=2, gap=2)
    pdf.line(0, pdf.h / 2, pdf.w, pdf.h / 2)
    pdf.set_dash_pattern()
