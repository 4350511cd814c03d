"""What bench cards and labels are set with: text, headings, ruled tables and QR codes at places on a page.

A pen that is `dry` draws nothing and says the same heights, so that a card can be tried in a size first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

import segno
from fpdf import FPDF
from fpdf.enums import Align, XPos, YPos

from app.exports.papers.typeface import figures_kept
from app.look.faces import HEAD, TEXT
from app.look.tokens import BLACK, PRINT_INKS, PRINT_PT
from app.words import Message, Say

SMALLEST_PT = PRINT_PT["floor"]
"""No text of a card is smaller: it is read standing, across a bench."""
QR_MM, QUIET_MM = 28.0, 3.5
"""A QR code, and the white beside it: four of its 33 modules (ISO/IEC 18004)."""
_BULLET_MM = 3.0
_NARROWEST_PERCENT = 80.0


@dataclass(frozen=True)
class Column:
    """Where a part stands across the page, in mm."""

    x: float
    w: float


@dataclass(frozen=True)
class Box:
    """A rectangle on the page, in mm."""

    x: float
    y: float
    w: float
    h: float

    @property
    def foot(self) -> float:
        """Where it ends."""
        return self.y + self.h


@dataclass(frozen=True)
class Pen:
    """Sets text at a size in points with a line height of `leading` mm for one point."""

    pdf: FPDF
    say: Say
    rtl: bool
    size: float
    leading: float
    dry: bool = False

    @property
    def align(self) -> Align:
        """The side where lines start."""
        return Align.R if self.rtl else Align.L

    def across(self, of: Box | Column, from_start: float, width: float) -> Column:
        """A part of a width, counted from the edge where reading starts."""
        left = of.w - from_start - width if self.rtl else from_start
        return Column(of.x + left, width)

    def line(self, size: float | None = None) -> float:
        """The height of one line."""
        return (size or self.size) * self.leading

    def text(
        self,
        text: str,
        at: Column,
        y: float,
        size: float | None = None,
        style: str = "",
        align: Align | None = None,
    ) -> float:
        """Text broken into lines; where it ends."""
        size = max(size or self.size, SMALLEST_PT)
        text = figures_kept(text) if self.rtl else text
        self.pdf.set_font(TEXT, style, size)
        with_room = self._narrowed(text, at.w)
        if self.dry:
            height = self.pdf.multi_cell(at.w, self.line(size), text, dry_run=True, output="HEIGHT")
            end = y + float(cast(float, height))
        else:
            self.pdf.set_xy(at.x, y)
            self.pdf.multi_cell(
                at.w,
                self.line(size),
                text,
                align=self.align if align is None else align,
                new_x=XPos.LEFT,
                new_y=YPos.NEXT,
            )
            end = float(self.pdf.get_y())
        if with_room:
            self.pdf.set_stretching(100)
        return end

    def height(self, text: str, width: float, size: float | None = None) -> float:
        """How high a text is that is broken into lines of this width."""
        return replace(self, dry=True).text(text, Column(0, width), 0.0, size)

    def _narrowed(self, text: str, width: float) -> bool:
        """Draw the letters narrower where a single word is wider than its place, rather than break it."""
        widest = max((self.pdf.get_string_width(word) for word in text.split()), default=0.0)
        if widest <= width:
            return False
        self.pdf.set_stretching(max(_NARROWEST_PERCENT, 99 * width / widest))
        return True

    def head_line(self, text: str, at: Column, y: float, size: float) -> float:
        """One line in the face of headings; where it ends."""
        self.pdf.set_font(HEAD, "B", size)
        if not self.dry:
            self.pdf.set_xy(at.x, y)
            self.pdf.cell(at.w, self.line(size), text, align=self.align)
        return y + self.line(size)

    def heading(self, text: Message, at: Column, y: float) -> float:
        """A heading of the card's own size; where the text under it begins."""
        return self.head_line(self.say(text), at, y, self.size + 1) + 0.6

    def numbered(self, sentences: Sequence[Message], at: Column, y: float, gap: float) -> float:
        """The steps, each behind its number."""
        for number, sentence in enumerate(sentences, 1):
            y = self._behind(str(number), "B", self.say(sentence), at, y, 5.0) + gap
        return y

    def bullets(self, sentences: Sequence[Message], left: Column, right: Column, y: float) -> float:
        """The sentences in two columns, as even as their order allows; where the longer one ends."""
        texts = [self.say(sentence) for sentence in sentences]
        heights = [self.height(text, left.w - _BULLET_MM) for text in texts]
        split = min(range(len(texts) + 1), key=lambda n: max(sum(heights[:n]), sum(heights[n:])))
        ends = [y]
        for column, part in ((left, texts[:split]), (right, texts[split:])):
            end = y
            for text in part:
                end = self._behind("•", "", text, column, end, _BULLET_MM)
            ends.append(end)
        return max(ends)

    def _behind(self, mark: str, style: str, text: str, at: Column, y: float, indent: float) -> float:
        """A text behind its number or bullet; where it ends."""
        if not self.dry:
            self.pdf.set_font(TEXT, style, self.size)
            self.pdf.set_xy(self.across(at, 0, indent).x, y)
            self.pdf.cell(indent, self.line(), mark, align=self.align)
        return self.text(text, self.across(at, indent, at.w - indent), y)

    def pairs(
        self, figures: Sequence[tuple[Message, Message]], at: Column, y: float, size: float | None = None
    ) -> float:
        """Names and values, one pair a line or more; a long name is broken, never cut."""
        value_w = at.w * 0.4
        name_at = Column(at.x + value_w if self.rtl else at.x, at.w - value_w - 1)
        value_at = Column(at.x if self.rtl else at.x + at.w - value_w, value_w)
        for name, value in figures:
            name_ends = self.text(self.say(name), name_at, y, size)
            y = max(name_ends, self.text(self.say(value), value_at, y, size, style="B")) + 0.3
        return y

    def table(self, names: Sequence[str], at: Column, y: float, rows: int, row_h: float) -> float:
        """An empty table to write in; its columns are alike, because "Durchgang" is a long word for a run."""
        wide = at.w / len(names)
        columns = [self.across(at, place * wide, wide) for place in range(len(names))]
        heights = [self.height(name, wide - 1, SMALLEST_PT) for name in names]
        head_h = max(heights) + 1.2
        for name, column, height in zip(names, columns, heights, strict=True):
            inner = Column(column.x + 0.5, wide - 1)
            self.text(name, inner, y + (head_h - height) / 2, size=SMALLEST_PT, align=Align.C)
            self._ruled(column, y, head_h)
        for row in range(rows):
            top = y + head_h + row * row_h
            for column in columns:
                self._ruled(column, top, row_h)
            self.text(str(row + 1), columns[0], top + (row_h - self.line()) / 2, align=Align.C)
        return y + head_h + rows * row_h

    def _ruled(self, column: Column, y: float, height: float) -> None:
        if not self.dry:
            self.pdf.rect(column.x, y, column.w, height)

    def qr(self, link: str, x: float, y: float, side: float) -> None:
        """The link as a QR code; the paper around it is left white."""
        if self.dry:
            return
        matrix = tuple(segno.make(link, error="m", micro=False).matrix)
        module = side / len(matrix)
        self.pdf.set_fill_color(BLACK)
        for row, modules in enumerate(matrix):
            for column, dark in enumerate(modules):
                if dark:
                    # A hair wider than a module, so that no printer leaves a white line between two.
                    left, top = x + column * module, y + row * module
                    self.pdf.rect(left, top, module * 1.02, module * 1.02, style="F")

    def mark(self, number: int, at: Column, y: float) -> None:
        """The bench's mark: its number in a dark disc as wide as the column."""
        if self.dry:
            return
        self.pdf.set_fill_color(PRINT_INKS.ink)
        self.pdf.ellipse(at.x, y, at.w, at.w, style="F")
        self.pdf.set_text_color(PRINT_INKS.paper)
        self.pdf.set_font(TEXT, "B", at.w * 1.4)
        self.pdf.set_xy(at.x, y)
        self.pdf.cell(at.w, at.w, str(number), align=Align.C)
        self.pdf.set_text_color(PRINT_INKS.ink)
