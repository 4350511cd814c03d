"""The pages of a printed lesson report: paper, faces, lines across the page, and the foot."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import cast

from fpdf.enums import XPos, YPos

from app.exports.papers.report_parts import Words
from app.exports.papers.typeface import Document, figures_kept
from app.look.faces import HEAD, TEXT
from app.look.tokens import PRINT_INKS, PRINT_MARGIN_MM, PRINT_PT
from app.words import Say

TEXT_PT, FOOT_PT = PRINT_PT["report"], PRINT_PT["floor"]
LINE_MM = 0.48
"""Line height in mm for one point of type."""


class Pages(Document):
    """Pages that say at their foot what they are of, and which of how many each is."""

    def __init__(self, say: Say, right_to_left: bool, paper: str, foot: tuple[str, str]) -> None:
        super().__init__(paper, right_to_left=right_to_left)
        self._say = say
        self._foot = foot
        self.right_to_left = right_to_left
        self.set_margin(PRINT_MARGIN_MM)
        self.set_auto_page_break(True, PRINT_MARGIN_MM + 4)
        self.set_text_color(PRINT_INKS.ink)

    def spoken(self, words: Words) -> str:
        """Said in the reader's language, or kept as typed."""
        text = words if isinstance(words, str) else self._say(words)
        return figures_kept(text) if self.right_to_left else text

    @property
    def side(self) -> str:
        """Where lines start."""
        return "R" if self.right_to_left else "L"

    @contextmanager
    def column(self, from_start: float, width: float) -> Iterator[None]:
        """A part of the page's width, in mm from the side where lines start; nothing in it may break the
        page."""
        left, right, inside = self.l_margin, self.r_margin, self.epw
        first = inside - from_start - width if self.right_to_left else from_start
        self.set_left_margin(left + first)
        self.set_right_margin(right + inside - first - width)
        self.set_x(self.l_margin)
        yield
        self.set_left_margin(left)
        self.set_right_margin(right)
        self.set_x(left)

    def say_line(self, words: Words, family: str, size: float, style: str = "") -> None:
        """A paragraph across the page."""
        self.set_font(family, "B" if family == HEAD else style, size)
        self.multi_cell(
            0, size * LINE_MM, self.spoken(words), align=self.side, new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )
        self.ln(size * 0.12)

    def height_of(self, words: Words, size: float, style: str = "") -> float:
        """The height in mm of such a paragraph in the face of the text."""
        self.set_font(TEXT, style, size)
        said = self.multi_cell(0, size * LINE_MM, self.spoken(words), dry_run=True, output="HEIGHT")
        return float(cast(float, said)) + size * 0.12

    def make_room(self, height: float) -> None:
        """A new page, where less than this height in mm is left and a whole page would hold it."""
        if self.will_page_break(height) and height <= self.eph and self.y > self.t_margin:
            self.add_page()

    def footer(self) -> None:
        """The title, the day, and the page of how many."""
        self.set_y(-PRINT_MARGIN_MM)
        self.set_font(TEXT, "", FOOT_PT)
        said = (*map(self.spoken, self._foot), self.spoken(f"{self.page_no()}/{{nb}}"))
        if self.right_to_left:
            # Each by itself: a line of both directions would mix the day with the title.
            for words, align in zip(said, "RCL", strict=True):
                self.set_x(self.l_margin)
                self.cell(0, 4, words, align=align)
        else:
            self.cell(0, 4, " · ".join(said), align="C")
