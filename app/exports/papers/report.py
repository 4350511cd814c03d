"""A lesson report's way onto printed pages."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from datetime import datetime

from fpdf.enums import XPos, YPos

from app.exports.papers.report_page import LINE_MM, TEXT_PT, Pages
from app.exports.papers.report_parts import (
    Abreast,
    Block,
    Figure,
    Headline,
    Numbers,
    Paragraph,
    Report,
    Section,
)
from app.exports.papers.report_tables import BETWEEN_MM, height_of_table, set_abreast, set_table
from app.look.faces import HEAD, TEXT
from app.look.tokens import FIGURE_PAGE_MM, FIGURE_PAGE_SIDES_PT, PRINT_INKS, PRINT_PT
from app.words import Say

_WIDE_PT, _HIGH_PT = FIGURE_PAGE_SIDES_PT
_FIGURE_HIGH_MM = FIGURE_PAGE_MM * _HIGH_PT / _WIDE_PT
HEADING_PT, TITLE_PT = PRINT_PT["h2"], PRINT_PT["h1"]
_HEADING_MM, _ROOM_MM = 15.0, 30.0
_Picture = Callable[[str], bytes]


def report_pdf(
    report: Report,
    *,
    say: Say,
    picture: _Picture,
    language: str,
    right_to_left: bool,
    now: datetime,
    paper: str = "A4",
) -> bytes:
    """The report on A4 or Letter. `picture` gives a figure's PNG by its name."""
    pdf = Pages(say, right_to_left, paper, (report.title, report.day))
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


def _set_section(pdf: Pages, section: Section, picture: _Picture) -> None:
    pdf.make_room(_HEADING_MM + _first_needed(pdf, section.blocks))
    pdf.ln(4)
    pdf.say_line(section.heading, HEAD, HEADING_PT)
    for block in section.blocks:
        _set_block(pdf, block, picture)


def _first_needed(pdf: Pages, blocks: Sequence[Block]) -> float:
    """The height in mm of what a heading is not parted from: a figure, a few words, or the first lines."""
    if blocks and isinstance(blocks[0], Figure):
        return _needed(pdf, blocks[0])
    words = [pdf.height_of(block.words, TEXT_PT) for block in blocks if isinstance(block, Paragraph)]
    return min(_ROOM_MM, sum(words)) if len(words) == len(blocks) else _ROOM_MM


def _set_block(pdf: Pages, block: Block, picture: _Picture) -> None:
    if isinstance(block, Paragraph):
        pdf.say_line(block.words, TEXT, TEXT_PT, "B" if block.strong else "")
    elif isinstance(block, Headline):
        _set_headline(pdf, block)
    elif isinstance(block, Numbers):
        set_table(pdf, block)
    elif isinstance(block, Abreast):
        set_abreast(pdf, block.tables, captioned=block.captioned)
    else:
        _set_figure(pdf, block, picture(block.name))
        for words in block.said:
            pdf.say_line(words, TEXT, TEXT_PT)


def _set_headline(pdf: Pages, value: Headline) -> None:
    """The class value, large, and behind it its interval in the band's colour with the band's edges."""
    said = f"{pdf.spoken(value.figure)} {value.unit}"
    pdf.set_font(HEAD, "B", TITLE_PT)
    start, line = pdf.get_string_width(said) + 2 * pdf.c_margin + BETWEEN_MM, TITLE_PT * LINE_MM
    pdf.cell(0, line, said, align=pdf.side, new_x=XPos.LMARGIN, new_y=YPos.TOP)
    pdf.set_font(TEXT, "", TEXT_PT)
    words, high = f"{pdf.spoken(value.interval_of)} {pdf.spoken(value.interval)}", TEXT_PT * LINE_MM + 2
    wide = pdf.get_string_width(words) + 6
    left = pdf.w - pdf.r_margin - start - wide if pdf.right_to_left else pdf.l_margin + start
    top = pdf.y + (line - high) / 2
    with pdf.local_context(fill_color=PRINT_INKS.band):
        pdf.rect(left, top, wide, high, style="F")
    pdf.set_draw_color(PRINT_INKS.value)
    for x in (left, left + wide):
        pdf.line(x, top, x, top + high)
    pdf.set_xy(left, top)
    pdf.cell(wide, high, words, align="C", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
    pdf.ln(3)


def _beside(pdf: Pages, figure: Figure) -> tuple[float, float]:
    """The width in mm of each table beside the figure, and the height of the highest."""
    tables = max(1, len(figure.beside))
    width = (pdf.epw - FIGURE_PAGE_MM - BETWEEN_MM * tables) / tables
    return width, max((height_of_table(pdf, one, width) for one in figure.beside), default=0.0)


def _needed(pdf: Pages, figure: Figure) -> float:
    """The height in mm of finding, figure and what stands beside it; without the tables where a page cannot
    hold them."""
    finding, (_, beside) = pdf.height_of(figure.finding, TEXT_PT, "B"), _beside(pdf, figure)
    together = finding + max(_FIGURE_HIGH_MM, beside)
    return together if together <= pdf.eph else finding + _FIGURE_HIGH_MM


def _set_figure(pdf: Pages, figure: Figure, png: bytes) -> None:
    """The finding, and under it the figure with its numbers beside it, on one page. Where a page is too low,
    the numbers come under it."""
    pdf.make_room(_needed(pdf, figure))
    pdf.say_line(figure.finding, TEXT, TEXT_PT, "B")
    said = " ".join(pdf.spoken(sentence) for sentence in figure.alternative)
    top, (width, beside) = pdf.y, _beside(pdf, figure)
    left = pdf.w - pdf.r_margin - FIGURE_PAGE_MM if pdf.right_to_left else pdf.l_margin
    pdf.image(io.BytesIO(png), x=left, y=top, w=FIGURE_PAGE_MM, alt_text=said)
    foot = top + _FIGURE_HIGH_MM + 2
    if top + beside > pdf.page_break_trigger:
        pdf.set_y(foot)
        set_abreast(pdf, figure.beside)
        return
    for place, table in enumerate(figure.beside):
        pdf.set_y(top)
        with pdf.column(FIGURE_PAGE_MM + BETWEEN_MM + place * (width + BETWEEN_MM), width):
            set_table(pdf, table)
        foot = max(foot, pdf.y)
    pdf.set_y(foot)
