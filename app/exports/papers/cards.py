"""Bench cards as a PDF: A4 or Letter, a page for each card or two on a page."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np
from fpdf import FPDF

from app.exports.papers.card_text import PAPER_COLUMNS, PAPER_RUNS, BenchCard, grouped_code
from app.exports.papers.pen import QR_MM, QUIET_MM, SMALLEST_PT, Box, Column, Pen
from app.exports.papers.typeface import blank_document
from app.look.tokens import PRINT_INKS, PRINT_MARGIN_MM, PRINT_PT
from app.words import N_, Message, Say

Paper = Literal["A4", "Letter"]
HALF_MARGIN_MM = 7.5
"""Above and below a card that shares its page; printers reach to 5 mm from the edge (common practice)."""
_LARGEST_PT = {1: PRINT_PT["step"], 2: PRINT_PT["report"]}
_LEADING = {1: 0.46, 2: 0.42}
_TIGHTEST_LEADING = 0.37

Layout = Callable[[Pen, BenchCard, Box], float]
"""Sets a card in a box and says where it ends, in mm from the top of the page."""

GUTTER_MM = 6.0

NO_ADDRESS = Message(N_("No address for phones is known."))
_CODE = Message(N_("Code"))
_WIFI = Message(N_("Wi-Fi"))
_CARD = Message(N_("Bench"))
_NUMBERS = Message(N_("Your numbers"))
_STEPS = Message(N_("What to do"))
_CARE = Message(N_("Take care"))
_TABLE = Message(N_("If the network is down: write here, send later"))


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
    pdf = blank_document(paper, right_to_left=right_to_left)
    layout = whole_page if per_page == 1 else half_page
    size, leading = 0.0, 0.0
    for start in range(0, len(cards), per_page):
        pdf.add_page()
        pdf.set_text_color(PRINT_INKS.ink)
        for place, card in enumerate(cards[start : start + per_page]):
            box = _box(pdf, per_page, place)
            if not size:
                size, leading = _fitting(pdf, layout, _longest(cards, say), say, right_to_left, box, per_page)
            pdf.set_draw_color(PRINT_INKS.ink)
            layout(Pen(pdf, say, rtl=right_to_left, size=size, leading=leading), card, box)
        if per_page == 2:
            _cut_line(pdf)
    return bytes(pdf.output())


def _box(pdf: FPDF, per_page: int, place: int) -> Box:
    height, margin = pdf.h / per_page, PRINT_MARGIN_MM if per_page == 1 else HALF_MARGIN_MM
    return Box(PRINT_MARGIN_MM, place * height + margin, pdf.w - 2 * PRINT_MARGIN_MM, height - 2 * margin)


def _longest(cards: Sequence[BenchCard], say: Say) -> BenchCard:
    """The card with the most text: measuring that one is enough, and all cards get the same type."""
    return max(cards, key=lambda card: sum(len(say(step)) for step in card.steps) + 20 * len(card.figures))


def _fitting(
    pdf: FPDF, layout: Layout, card: BenchCard, say: Say, rtl: bool, box: Box, per_page: int
) -> tuple[float, float]:
    """The largest type, in points, at which the card fits its box; then closer lines, never smaller type."""
    largest, usual = _LARGEST_PT[per_page], _LEADING[per_page]
    smaller = np.arange(largest, SMALLEST_PT, -0.25).tolist()
    closer = np.arange(usual, _TIGHTEST_LEADING - 0.005, -0.01).tolist()
    tries = [*((size, usual) for size in smaller), *((SMALLEST_PT, leading) for leading in closer)]

    def fits(tried: tuple[float, float]) -> bool:
        size, leading = tried
        return layout(Pen(pdf, say, rtl=rtl, size=size, leading=leading, dry=True), card, box) <= box.foot

    return tries[0] if fits(tries[0]) else tries[bisect_left(tries, True, 1, len(tries) - 1, key=fits)]


def _cut_line(pdf: FPDF) -> None:
    pdf.set_draw_color(PRINT_INKS.soft)
    pdf.set_dash_pattern(dash=2, gap=2)
    pdf.line(0, pdf.h / 2, pdf.w, pdf.h / 2)
    pdf.set_dash_pattern()


def whole_page(pen: Pen, card: BenchCard, box: Box) -> float:
    """Numbers at the start, steps in the middle, the way in at the end; under them table and care."""
    numbers_w, qr_w, side = 52.0, 42.0, 20.0
    steps_w = box.w - qr_w - numbers_w - 2 * GUTTER_MM
    head = pen.across(box, 0, box.w - qr_w - GUTTER_MM)
    top = _head(pen, card, head, box.y, side) + 4
    numbers = pen.across(box, 0, numbers_w)
    steps = pen.across(box, numbers_w + GUTTER_MM, steps_w)
    way_in = pen.across(box, box.w - qr_w, qr_w)
    y = max(
        pen.pairs(card.figures, numbers, pen.heading(_NUMBERS, numbers, top), PRINT_PT["h2"]),
        pen.numbered(card.steps, steps, pen.heading(_STEPS, steps, top), 0.8),
        _way_in_below(pen, card, way_in, box.y),
    )
    y = _table(pen, pen.across(box, 0, box.w), y + 2, PAPER_RUNS[1], 10.0)
    return _care(pen, card, box, y + 2)


def half_page(pen: Pen, card: BenchCard, box: Box) -> float:
    """At the start who and with what numbers; beside it what to do and where to write; care below both."""
    left_w, side = 60.0, 15.0
    left, right = pen.across(box, 0, left_w), pen.across(box, left_w + GUTTER_MM, box.w - left_w - GUTTER_MM)
    y = _head(pen, card, left, box.y, side) + 2
    y = pen.pairs(card.figures, left, pen.heading(_NUMBERS, left, y))
    y = _way_in_beside(pen, card, box, y + QUIET_MM, left_w, QR_MM)
    beside = pen.numbered(card.steps, right, pen.heading(_STEPS, right, box.y), 0.4)
    beside = _table(pen, right, beside + 1, PAPER_RUNS[2], 7.0)
    return _care(pen, card, box, max(y, beside) + 1.5)


def _head(pen: Pen, card: BenchCard, at: Column, y: float, side: float) -> float:
    """The bench's mark, its name, class and day; where the head ends."""
    pen.mark(card.number, pen.across(at, 0, side), y)
    beside = pen.across(at, side + 4, at.w - side - 4)
    name = f"{pen.say(_CARD)} {card.number}"
    end = pen.head_line(name, beside, y, max(pen.size + 3, side * 0.8)) + 0.5
    end = pen.text(card.heading, beside, end)
    return max(y + side, pen.text(card.held_on, beside, end))


def _words_of_the_way_in(pen: Pen, card: BenchCard, at: Column, y: float) -> float:
    y = pen.text(f"{pen.say(_CODE)} {grouped_code(card.code)}", at, y, size=pen.size * 1.05, style="B")
    y = pen.text((card.address or "").removeprefix("http://"), at, y + 0.5)
    return pen.text(f"{pen.say(_WIFI)}: {card.wifi_name}", at, y + 0.5) if card.wifi_name else y


def _way_in_below(pen: Pen, card: BenchCard, at: Column, y: float) -> float:
    if not card.link:
        return pen.text(pen.say(NO_ADDRESS), at, y)
    pen.qr(card.link, at.x, y, at.w)
    return _words_of_the_way_in(pen, card, at, y + at.w + QUIET_MM)


def _way_in_beside(pen: Pen, card: BenchCard, box: Box, y: float, width: float, side: float) -> float:
    if not card.link:
        return pen.text(pen.say(NO_ADDRESS), pen.across(box, 0, width), y)
    pen.qr(card.link, pen.across(box, 0, side).x, y, side)
    words = pen.across(box, side + QUIET_MM, width - side - QUIET_MM)
    return max(y + side, _words_of_the_way_in(pen, card, words, y)) + 1


def _table(pen: Pen, at: Column, y: float, rows: int, row_h: float) -> float:
    names = [pen.say(name) + (f" /\N{NO-BREAK SPACE}{unit}" if unit else "") for name, unit in PAPER_COLUMNS]
    return pen.table(names, at, pen.heading(_TABLE, at, y), rows, row_h)


def _care(pen: Pen, card: BenchCard, box: Box, y: float) -> float:
    y = pen.heading(_CARE, pen.across(box, 0, box.w), y)
    width = (box.w - GUTTER_MM) / 2
    return pen.bullets(card.safety, pen.across(box, 0, width), pen.across(box, width + GUTTER_MM, width), y)
