"""A lesson report's way onto printed pages."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from unicodedata import bidirectional

from fpdf import FPDF
from fpdf.enums import TableBordersLayout, XPos, YPos
from fpdf.fonts import FontFace

from app.exports.report_parts import Figure, Numbers, Paragraph, Report, Section, Words
from app.exports.typeface import HEAD, TEXT, add_typefaces
from app.look.tokens import PRINT_INKS, PRINT_MARGIN_MM, PRINT_PT
from app.words import N_, Message

Say = Callable[[Message], str]
MARGIN_MM = PRINT_MARGIN_MM
FIGURE_MM = 176.0  # 500 pt, as it is drawn, so that its words have the size they were given
TEXT_PT, TABLE_PT, FOOT_PT = PRINT_PT["report"], PRINT_PT["table"], PRINT_PT["floor"]
HEADING_PT, TITLE_PT = PRINT_PT["h2"], PRINT_PT["h1"]
_LINE_MM = 0.48  # line height in mm for one point of type
_LEFT_TO_RIGHT = "\u200e"
_PAGE = Message(N_("Page %(page)s"))


def report_pdf(
    report: Report,
    *,
    say: Say,
    picture: Callable[[str], bytes],
    language: str,
    right_to_left: bool,
    now: datetime,
) -> bytes:
    """The report on A4. `picture` gives a figure's PNG by its name."""
    pdf = _Pages(say, right_to_left)
    pdf.set_title(report.title)
    pdf.set_lang(language)
    pdf.set_creation_date(now)
    pdf.add_page()
    pdf.say_line(report.title, HEAD, TITLE_PT)
    for words in report.under:
        pdf.say_line(words, TEXT, TEXT_PT)
    for section in report.sections:
        _set_section(pdf, section, picture)
    return bytes(pdf.output())


class _Pages(FPDF):
    """A4 pages with a page number at the foot."""

    def __init__(self, say: Say, right_to_left: bool) -> None:
        super().__init__(format="A4", unit="mm")
        self._say = say
        self.right_to_left = right_to_left
        self.set_margin(MARGIN_MM)
        self.set_auto_page_break(True, MARGIN_MM + 4)
        add_typefaces(self, shaping=right_to_left)
        if right_to_left:
            # A sentence that begins with a figure is still read from the right.
            self.set_text_shaping(True, direction="rtl")
        self.set_text_color(PRINT_INKS.ink)

    def spoken(self, words: Words) -> str:
        """Said in the reader's language, or kept as typed."""
        text = words if isinstance(words, str) else self._say(words)
        if self.right_to_left and not any(bidirectional(sign) in ("R", "AL") for sign in text):
            # "860 g" stays as it is read on the balance, also between right-to-left words.
            return f"{_LEFT_TO_RIGHT}{text}{_LEFT_TO_RIGHT}"
        return text

    @property
    def side(self) -> str:
        """Where lines start."""
        return "R" if self.right_to_left else "L"

    def say_line(self, words: Words, family: str, size: float, style: str = "") -> None:
        """A paragraph across the page."""
        self.set_font(family, "B" if family == HEAD else style, size)
        self.multi_cell(
            0, size * _LINE_MM, self.spoken(words), align=self.side, new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )
        self.ln(size * 0.12)

    def footer(self) -> None:
        """The page number."""
        self.set_y(-MARGIN_MM)
        self.set_font(TEXT, "", FOOT_PT)
        self.cell(0, 4, self.spoken(Message(_PAGE.template, {"page": str(self.page_no())})), align="C")


def _set_section(pdf: _Pages, section: Section, picture: Callable[[str], bytes]) -> None:
    if pdf.will_page_break(45):
        pdf.add_page()
    pdf.ln(4)
    pdf.say_line(section.heading, HEAD, HEADING_PT)
    for block in section.blocks:
        if isinstance(block, Paragraph):
            pdf.say_line(block.words, TEXT, TEXT_PT, "B" if block.strong else "")
        elif isinstance(block, Numbers):
            _set_table(pdf, block)
        else:
            _set_figure(pdf, block, picture(block.name))


def _set_table(pdf: _Pages, numbers: Numbers) -> None:
    """A table whose head comes again on every page."""
    if not numbers.rows:
        return
    pdf.set_font(TEXT, "", TABLE_PT)
    order = -1 if pdf.right_to_left else 1
    widths = numbers.widths or (1,) * len(numbers.head)
    pdf.set_draw_color(PRINT_INKS.rule)
    with pdf.table(
        col_widths=widths[::order],
        line_height=TABLE_PT * _LINE_MM,
        padding=0.7,
        text_align="RIGHT" if pdf.right_to_left else "LEFT",
        borders_layout=TableBordersLayout.HORIZONTAL_LINES,
        headings_style=FontFace(emphasis="BOLD"),
    ) as table:
        for cells in (numbers.head, *numbers.rows):
            row = table.row()
            for cell in cells[::order]:
                row.cell(pdf.spoken(cell))
    pdf.ln(3)


def _set_figure(pdf: _Pages, figure: Figure, png: bytes) -> None:
    """The finding and its figure, kept on one page."""
    height = FIGURE_MM * 5 / 8
    if pdf.will_page_break(height + 4 * TEXT_PT * _LINE_MM):
        pdf.add_page()
    pdf.say_line(figure.finding, TEXT, TEXT_PT, "B")
    said = " ".join(pdf.spoken(sentence) for sentence in figure.alternative)
    pdf.image(io.BytesIO(png), x=pdf.l_margin + (pdf.epw - FIGURE_MM) / 2, w=FIGURE_MM, alt_text=said)
    pdf.ln(2)
