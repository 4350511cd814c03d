"""A lesson report's way onto printed pages."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from unicodedata import bidirectional

from fpdf import FPDF
from fpdf.enums import TableBordersLayout, XPos, YPos
from fpdf.fonts import FontFace

from app.exports.report_parts import Figure, Headline, Numbers, Paragraph, Report, Section, Words
from app.exports.typeface import HEAD, TEXT, add_typefaces, figures_kept
from app.look.tokens import PRINT_INKS, PRINT_MARGIN_MM, PRINT_PT
from app.words import Message

Say = Callable[[Message], str]
MARGIN_MM = PRINT_MARGIN_MM
FIGURE_MM = 176.0  # 500 pt, as it is drawn, so that its words have the size they were given
TEXT_PT, TABLE_PT, FOOT_PT = PRINT_PT["report"], PRINT_PT["table"], PRINT_PT["floor"]
HEADING_PT, TITLE_PT = PRINT_PT["h2"], PRINT_PT["h1"]
ROW_MM = 5.0
_LINE_MM = 0.48  # line height in mm for one point of type
_LEFT_TO_RIGHT = "\u200e"


def report_pdf(
    report: Report,
    *,
    say: Say,
    picture: Callable[[str], bytes],
    language: str,
    right_to_left: bool,
    now: datetime,
    paper: str = "A4",
) -> bytes:
    """The report on A4 or Letter. `picture` gives a figure's PNG by its name."""
    pdf = _Pages(say, right_to_left, paper, (report.title, report.day))
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
    """Pages that say at their foot what they are of, and which of how many each is."""

    def __init__(self, say: Say, right_to_left: bool, paper: str, foot: tuple[str, str]) -> None:
        super().__init__(format=paper.lower(), unit="mm")
        self._say = say
        self._foot = foot
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
        return figures_kept(text) if self.right_to_left else text

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
        """The title, the day, and the page of how many."""
        self.set_y(-MARGIN_MM)
        self.set_font(TEXT, "", FOOT_PT)
        said = (*map(self.spoken, self._foot), self.spoken(f"{self.page_no()}/{{nb}}"))
        if self.right_to_left:
            # Each by itself: a line of both directions would mix the day with the title.
            for words, align in zip(said, "RCL", strict=True):
                self.set_x(self.l_margin)
                self.cell(0, 4, words, align=align)
        else:
            self.cell(0, 4, " · ".join(said), align="C")


def _set_section(pdf: _Pages, section: Section, picture: Callable[[str], bytes]) -> None:
    first = section.blocks[0] if section.blocks else None
    if pdf.will_page_break(15 + _needed(pdf, first) if isinstance(first, Figure) else 45):
        pdf.add_page()
    pdf.ln(4)
    pdf.say_line(section.heading, HEAD, HEADING_PT)
    for block in section.blocks:
        if isinstance(block, Paragraph):
            pdf.say_line(block.words, TEXT, TEXT_PT, "B" if block.strong else "")
        elif isinstance(block, Headline):
            _set_headline(pdf, block)
        elif isinstance(block, Numbers):
            _set_table(pdf, block)
        else:
            _set_figure(pdf, block, picture(block.name))


def _set_headline(pdf: _Pages, value: Headline) -> None:
    """The class value, large, and its interval in the band's colour with the band's edges."""
    pdf.say_line(f"{pdf.spoken(value.figure)} {value.unit}", HEAD, TITLE_PT)
    pdf.set_font(TEXT, "", TEXT_PT)
    words, high = f"{pdf.spoken(value.interval_of)} {pdf.spoken(value.interval)}", TEXT_PT * _LINE_MM + 2
    wide = pdf.get_string_width(words) + 6
    left = pdf.w - pdf.r_margin - wide if pdf.right_to_left else pdf.l_margin
    with pdf.local_context(fill_color=PRINT_INKS.band):
        pdf.rect(left, pdf.y, wide, high, style="F")
    pdf.set_draw_color(PRINT_INKS.value)
    for x in (left, left + wide):
        pdf.line(x, pdf.y, x, pdf.y + high)
    pdf.set_x(left)
    pdf.cell(wide, high, words, align="C", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    pdf.ln(2)


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
        padding=0.5,
        borders_layout=TableBordersLayout.HORIZONTAL_LINES,
        headings_style=FontFace(emphasis="BOLD"),
    ) as table:
        for cells in (numbers.head, *numbers.rows):
            row = table.row()
            for cell, numeric in list(zip(cells, numbers.numeric, strict=True))[::order]:
                # Words start where lines start; numbers end on the other side.
                row.cell(pdf.spoken(cell), align="R" if numeric != pdf.right_to_left else "L")
    pdf.ln(3)


def _needed(pdf: _Pages, figure: Figure) -> float:
    """The height in mm of finding, figure and numbers; without the numbers where a page cannot hold all."""
    height = FIGURE_MM * 5 / 8 + 4 * TEXT_PT * _LINE_MM
    rows = len(figure.beside.rows) + 1 if figure.beside else 0
    together = height + rows * ROW_MM + 3
    return together if together < pdf.eph - 20 else height


def _set_figure(pdf: _Pages, figure: Figure, png: bytes) -> None:
    """The finding, its figure and its numbers, on one page where they fit on one."""
    if pdf.will_page_break(_needed(pdf, figure)):
        pdf.add_page()
    pdf.say_line(figure.finding, TEXT, TEXT_PT, "B")
    said = " ".join(pdf.spoken(sentence) for sentence in figure.alternative)
    pdf.image(io.BytesIO(png), x=pdf.l_margin + (pdf.epw - FIGURE_MM) / 2, w=FIGURE_MM, alt_text=said)
    pdf.ln(2)
    if figure.beside:
        _set_table(pdf, figure.beside)
