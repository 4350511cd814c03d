"""Labels for the pieces of the kit, as a PDF: three beside each other on A4, each with the QR of its page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.exports.papers.pen import QR_MM, QUIET_MM, SMALLEST_PT, Box, Column, Pen
from app.exports.papers.typeface import blank_document
from app.look.faces import HEAD
from app.look.tokens import PRINT_INKS, PRINT_PT
from app.words import Message, Say

COLUMNS, ROWS = 3, 8
A_SHEET = COLUMNS * ROWS
"""Sheets of 24 labels of 70 by 37 mm, without a margin at the sides (common practice, no source)."""
_WIDTH_MM, _HEIGHT_MM = 70.0, 37.0
_EDGE_MM = 4.0
"""White inside each label: printers and hands are off by a millimetre or two (our own choice)."""
_LEADING = 0.42


@dataclass(frozen=True)
class KitLabel:
    """What a label says. `link` is None where phones cannot reach the tool: the label then has no QR."""

    kind: Message
    label: str
    words: Sequence[Message]
    link: str | None


def labels_pdf(labels: Sequence[KitLabel], *, say: Say, first: int = 1, right_to_left: bool = False) -> bytes:
    """The labels as one PDF. `first` is the place on the first sheet that is still free, from 1.

    Domain: at least one label and 1 ≤ first ≤ 24; ValueError otherwise.
    """
    if not labels or not 1 <= first <= A_SHEET:
        raise ValueError("there must be a label, and a free place on the first sheet")
    pdf = blank_document("A4", right_to_left=right_to_left)
    above = (pdf.h - ROWS * _HEIGHT_MM) / 2
    for place, label in enumerate(labels, first - 1):
        if place % A_SHEET == 0 or place == first - 1:
            pdf.add_page()
            pdf.set_text_color(PRINT_INKS.ink)
        row, column = divmod(place % A_SHEET, COLUMNS)
        if right_to_left:
            column = COLUMNS - 1 - column
        box = Box(
            column * _WIDTH_MM + _EDGE_MM,
            above + row * _HEIGHT_MM + _EDGE_MM,
            _WIDTH_MM - 2 * _EDGE_MM,
            _HEIGHT_MM - 2 * _EDGE_MM,
        )
        _label(Pen(pdf, say, rtl=right_to_left, size=SMALLEST_PT, leading=_LEADING), label, box)
    return bytes(pdf.output())


def _label(pen: Pen, label: KitLabel, box: Box) -> None:
    taken = 0.0
    if label.link is not None:
        pen.qr(label.link, pen.across(box, 0, QR_MM).x, box.y, QR_MM)
        taken = QR_MM + QUIET_MM
    at = pen.across(box, taken, box.w - taken)
    y = pen.text(pen.say(label.kind), at, box.y)
    y = _in_large(pen, label.label, at, y)
    for words in label.words:
        y = pen.text(pen.say(words), at, y)


def _in_large(pen: Pen, label: str, at: Column, y: float) -> float:
    """The label itself, as large as it fits on one line, down to the size of the rest."""
    size = PRINT_PT["h1"]
    pen.pdf.set_font(HEAD, "B", size)
    if (wide := pen.pdf.get_string_width(label)) > at.w:  # an accent alone has no width at all
        size = max(SMALLEST_PT, size * at.w / wide)
    pen.pdf.set_font(HEAD, "B", size)
    pen.pdf.set_xy(at.x, y)
    pen.pdf.multi_cell(at.w, pen.line(size), label, align=pen.align)
    return float(pen.pdf.get_y())
