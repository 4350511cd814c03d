"""Bench cards as a PDF: A4 or Letter, one card to a page or two."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, cast

import segno
from fpdf import FPDF
from fpdf.enums import Align, XPos, YPos

from app.exports.card_text import PAPER_COLUMNS, PAPER_RUNS, BenchCard, grouped_code
from app.exports.typeface import SANS, SERIF, add_typefaces
from app.words import N_, Message

Paper = Literal["A4", "Letter"]
Say = Callable[[Message], str]
MARGIN_MM = 10.0
GUTTER_MM = 6.0
SMALLEST_PT = 6.0
_HEIGHT_PER_PT = 0.46  # line height in mm for one point of type
_INK = (27, 34, 43)
_SOFT = (75, 85, 97)

NO_ADDRESS = Message(N_("No address for phones is known."))
_CODE = Message(N_("Code"))
_CARD = Message(N_("Bench"))
_NUMBERS = Message(N_("Your numbers"))
_STEPS = Message(N_("What to do"))
_CARE = Message(N_("Take care"))
_TABLE = Message(N_("If the network is down: write here, send later"))


@dataclass(frozen=True)
class _Box:
    """A rectangle on the page, in mm."""

    x: float
    y: float
    w: float
    h: float


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
    size = None
    for start in range(0, len(cards), per_page):
        pdf.add_page()
        for place, card in enumerate(cards[start : start + per_page]):
            height = pdf.h / per_page
            box = _Box(MARGIN_MM, place * height + MARGIN_MM, pdf.w - 2 * MARGIN_MM, height - 2 * MARGIN_MM)
            setter = _Setter(pdf, say, right_to_left, box)
            size = size or min(setter.fitting_size(card) for card in _longest(cards, say))
            setter.set_card(card, size)
        if per_page == 2:
            _cut_line(pdf)
    return bytes(pdf.output())


def _longest(cards: Sequence[BenchCard], say: Say) -> list[BenchCard]:
    """The card with the most text: measuring that one is enough, and all cards get the same type."""
    return [max(cards, key=lambda card: sum(len(say(step)) for step in card.steps))]


def _cut_line(pdf: FPDF) -> None:
    pdf.set_draw_color(*_SOFT)
    pdf.set_dash_pattern(dash=2, gap=2)
    pdf.line(0, pdf.h / 2, pdf.w, pdf.h / 2)
    pdf.set_dash_pattern()


class _Setter:
    """Sets one card in its box: numbers at the start edge, steps in the middle, QR at the end edge."""

    def __init__(self, pdf: FPDF, say: Say, right_to_left: bool, box: _Box) -> None:
        self.pdf, self.say, self.rtl, self.box = pdf, say, right_to_left, box
        self.align = Align.R if right_to_left else Align.L
        self.tall = box.h > 180
        self.qr_w = 42.0 if self.tall else 36.0
        self.numbers_w = 52.0 if self.tall else 44.0
        self.steps_w = box.w - self.qr_w - self.numbers_w - 2 * GUTTER_MM

    def set_card(self, card: BenchCard, size: float) -> None:
        """Head and columns, then the table for pen and paper, then care at the foot."""
        self.pdf.set_text_color(*_INK)
        self.pdf.set_draw_color(*_INK)
        top = self._head(card)
        y = max(
            self._numbers(card, self._across(0, self.numbers_w), top, size),
            self._steps(card, self._across(self.numbers_w + GUTTER_MM, self.steps_w), top, size),
            self._way_in(card, self._across(self.box.w - self.qr_w, self.qr_w), self.box.y, size),
        )
        y = self._table(y + 2, size)
        self._care(card, y + 2, size)

    def fitting_size(self, card: BenchCard) -> float:
        """The largest type, in points, at which the whole card fits its box."""
        size = 11.5 if self.tall else 9.5
        while size > SMALLEST_PT and self._height(card, size) > self.box.h:
            size -= 0.25
        return size

    def _across(self, from_start: float, width: float) -> float:
        """Where a column begins on the page, counted from the edge where reading starts."""
        return self.box.x + (self.box.w - from_start - width if self.rtl else from_start)

    @property
    def _head_h(self) -> float:
        return 24.0 if self.tall else 19.0

    def _head(self, card: BenchCard) -> float:
        pdf, side = self.pdf, self._head_h - 4
        pdf.set_fill_color(*_INK)
        pdf.rect(
            self._across(0, side), self.box.y, side, side, style="F", round_corners=True, corner_radius=4
        )
        pdf.set_text_color(255, 255, 255)
        pdf.set_font(SANS, "B", side * 1.7)
        pdf.set_xy(self._across(0, side), self.box.y)
        pdf.cell(side, side, str(card.number), align=Align.C)
        pdf.set_text_color(*_INK)
        width = self.box.w - side - 5 - self.qr_w - GUTTER_MM
        left = self._across(side + 5, width)
        pdf.set_font(SERIF, "B", side)
        pdf.set_xy(left, self.box.y)
        pdf.cell(width, side * 0.55, f"{self.say(_CARD)} {card.number}", align=self.align)
        pdf.set_font(SANS, "", 9)
        pdf.set_text_color(*_SOFT)
        pdf.set_xy(left, self.box.y + side * 0.6)
        pdf.cell(width, 5, self._cut(f"{card.heading} · {card.held_on}", width), align=self.align)
        pdf.set_text_color(*_INK)
        return self.box.y + self._head_h

    def _cut(self, text: str, width: float) -> str:
        """The text, shortened with a mark where it is wider than its place."""
        if self.pdf.get_string_width(text) <= width:
            return text
        while text and self.pdf.get_string_width(text + "…") > width:
            text = text[:-1]
        return text + "…"

    def _height(self, card: BenchCard, size: float) -> float:
        steps = self._heading_h(size) + sum(
            self._text_height(self.say(step), self.steps_w - 5, size) + 0.8 for step in card.steps
        )
        numbers = self._heading_h(size) + len(card.figures) * self._line(size)
        care = self._heading_h(size) + self._text_height(self._care_text(card), self.box.w, size * 0.9)
        table = self._heading_h(size) + (PAPER_RUNS + 1) * self._row_h
        columns = max(self._head_h + max(steps, numbers), self.qr_w + 4 * self._line(size))
        return columns + table + care + 5

    @property
    def _row_h(self) -> float:
        return 10.0 if self.tall else 5.6

    @staticmethod
    def _line(size: float) -> float:
        return size * _HEIGHT_PER_PT * 1.2

    @staticmethod
    def _heading_h(size: float) -> float:
        return size * _HEIGHT_PER_PT + 2

    def _text_height(self, text: str, width: float, size: float) -> float:
        self.pdf.set_font(SANS, "", size)
        height = self.pdf.multi_cell(width, size * _HEIGHT_PER_PT, text, dry_run=True, output="HEIGHT")
        return float(cast(float, height))

    def _heading(self, text: Message, x: float, y: float, width: float, size: float) -> float:
        self.pdf.set_font(SERIF, "B", size + 1)
        self.pdf.set_xy(x, y)
        self.pdf.cell(width, size * _HEIGHT_PER_PT, self._cut(self.say(text), width), align=self.align)
        return y + self._heading_h(size)

    def _write(self, text: str, x: float, y: float, width: float, size: float, style: str = "") -> float:
        self.pdf.set_font(SANS, style, size)
        self.pdf.set_xy(x, y)
        self.pdf.multi_cell(
            width, size * _HEIGHT_PER_PT, text, align=self.align, new_x=XPos.LEFT, new_y=YPos.NEXT
        )
        return float(self.pdf.get_y())

    def _steps(self, card: BenchCard, x: float, y: float, size: float) -> float:
        y = self._heading(_STEPS, x, y, self.steps_w, size)
        for number, step in enumerate(card.steps, 1):
            self.pdf.set_font(SANS, "B", size)
            self.pdf.set_xy(x + self.steps_w - 4 if self.rtl else x, y)
            self.pdf.cell(4, size * _HEIGHT_PER_PT, str(number), align=self.align)
            y = self._write(self.say(step), x if self.rtl else x + 5, y, self.steps_w - 5, size) + 0.8
        return y

    def _numbers(self, card: BenchCard, x: float, y: float, size: float) -> float:
        y = self._heading(_NUMBERS, x, y, self.numbers_w, size)
        name_w = self.numbers_w * 0.62
        for name, value in card.figures:
            self.pdf.set_font(SANS, "", size)
            self.pdf.set_xy(x + self.numbers_w - name_w if self.rtl else x, y)
            self.pdf.cell(name_w, self._line(size), self._cut(self.say(name), name_w - 1), align=self.align)
            self.pdf.set_font(SANS, "B", size)
            self.pdf.set_xy(x if self.rtl else x + name_w, y)
            self.pdf.cell(self.numbers_w - name_w, self._line(size), self.say(value), align=self.align)
            y += self._line(size)
        return y

    def _way_in(self, card: BenchCard, x: float, y: float, size: float) -> float:
        if not card.link:
            return self._write(self.say(NO_ADDRESS), x, y, self.qr_w, size)
        y = self._qr(card.link, x, y) + 1.5
        y = self._write((card.address or "").removeprefix("http://"), x, y, self.qr_w, size * 0.85)
        return self._write(f"{self.say(_CODE)} {grouped_code(card.code)}", x, y, self.qr_w, size * 1.05, "B")

    def _qr(self, link: str, x: float, y: float) -> float:
        matrix = tuple(segno.make(link, error="m", micro=False).matrix)
        module = self.qr_w / len(matrix)
        self.pdf.set_fill_color(0, 0, 0)
        for row, modules in enumerate(matrix):
            for column, dark in enumerate(modules):
                if dark:
                    # A hair wider than a module, so that no printer leaves a white line between two.
                    self.pdf.rect(
                        x + column * module, y + row * module, module * 1.02, module * 1.02, style="F"
                    )
        return y + self.qr_w

    def _care_text(self, card: BenchCard) -> str:
        return "  ·  ".join(self.say(sentence) for sentence in card.safety)

    def _care(self, card: BenchCard, y: float, size: float) -> float:
        y = self._heading(_CARE, self.box.x, y, self.box.w, size)
        return self._write(self._care_text(card), self.box.x, y, self.box.w, size * 0.9)

    def _table(self, y: float, size: float) -> float:
        y = self._heading(_TABLE, self.box.x, y, self.box.w, size)
        width, row_h = self.box.w / len(PAPER_COLUMNS), self._row_h
        names = [self.say(name) + (f" / {unit}" if unit else "") for name, unit in PAPER_COLUMNS]
        self.pdf.set_font(SANS, "", size * 0.8)
        widest = max(self.pdf.get_string_width(name) for name in names)
        heading_size = size * 0.8 * min(1.0, (width - 3) / widest)
        for row in range(PAPER_RUNS + 1):
            self.pdf.set_font(SANS, "", size * 0.8 if row else heading_size)
            for place, name in enumerate(names):
                text = name if row == 0 else str(row) if place == 0 else ""
                self.pdf.set_xy(self._across(place * width, width), y + row * row_h)
                self.pdf.cell(width, row_h, text, border=1, align=Align.C)
        return y + (PAPER_RUNS + 1) * row_h
