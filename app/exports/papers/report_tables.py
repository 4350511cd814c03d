"""The tables of a printed lesson report: as wide as what they hold asks for, numbers under each other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from fpdf.enums import TableBordersLayout
from fpdf.fonts import FontFace

from app.exports.papers.report_page import LINE_MM, TEXT_PT, Pages
from app.exports.papers.report_parts import Cell, Numbers
from app.look.faces import TEXT
from app.look.tokens import PRINT_INKS, PRINT_PT

TABLE_PT = PRINT_PT["table"]
BETWEEN_MM = 6.0
"""Between two tables side by side."""
_PADDING_MM = 0.4
_SIDE_MM, _AFTER_NUMBERS_MM = 1.0, 3.0
"""What a cell keeps clear at its sides, as lines across the page do; where words follow numbers."""
_BETWEEN_COLUMNS_MM, _HAIR_MM, _ONE_SIGN_MM = 1.5, 0.6, 4.0
_ROW_MM = TABLE_PT * LINE_MM
_LEAST_MM = 60.0
"""No table beside others asks for less."""


def set_table(pdf: Pages, numbers: Numbers) -> None:
    """A table across the column, whose head comes again on every page."""
    if not numbers.rows:
        return
    cells = numbers.cells(pdf.spoken)
    widths, order = _widths(pdf, numbers), -1 if pdf.right_to_left else 1
    pdf.set_font(TEXT, "", TABLE_PT)
    pdf.set_draw_color(PRINT_INKS.rule)
    with pdf.table(
        col_widths=widths[::order],
        line_height=_ROW_MM,
        padding=_PADDING_MM,
        align="LEFT",
        borders_layout=TableBordersLayout.HORIZONTAL_LINES,
        headings_style=FontFace(emphasis="BOLD"),
        v_align="TOP",
    ) as table:
        for line in cells:
            row, sides = table.row(), _sides(pdf, line)
            for cell, (left, right) in list(zip(line, sides, strict=True))[::order]:
                # Words start where lines start; numbers end on one line, at the right in every language.
                row.cell(
                    cell.text,
                    align="R" if cell.numeric or pdf.right_to_left else "L",
                    padding=(_PADDING_MM, right, _PADDING_MM, left),
                )
    pdf.ln(3)


def set_abreast(pdf: Pages, tables: Sequence[Numbers], *, captioned: bool = False) -> None:
    """Tables side by side, each as wide as its words ask; one under the other where a page is too low."""
    tables = [one for one in tables if one.rows]
    room = pdf.epw - BETWEEN_MM * (len(tables) - 1)
    asked = [_asked(pdf, one) for one in tables]
    wide, narrow = ([max(_LEAST_MM, sum(of[how])) for of in asked] for how in (0, 1))
    shares = _between(wide, narrow, room)
    widths = [room * share / sum(shares) for share in shares]
    heights = [height_of_table(pdf, one, width) for one, width in zip(tables, widths, strict=True)]
    height = max(heights, default=0.0) + (2 * TEXT_PT * LINE_MM if captioned else 0)
    if height > pdf.eph:
        for one in tables:
            _captioned(pdf, one, captioned)
        return
    pdf.make_room(height)
    top = foot = pdf.y
    start = 0.0
    for one, width in zip(tables, widths, strict=True):
        pdf.set_y(top)
        with pdf.column(start, width):
            _captioned(pdf, one, captioned)
        foot, start = max(foot, pdf.y), start + width + BETWEEN_MM
    pdf.set_y(foot)


def _captioned(pdf: Pages, numbers: Numbers, captioned: bool) -> None:
    if captioned:
        pdf.say_line(numbers.caption, TEXT, TEXT_PT, "B")
    set_table(pdf, numbers)


def height_of_table(pdf: Pages, numbers: Numbers, width: float) -> float:
    """The height in mm of a table so wide."""
    if not numbers.rows:
        return 0.0
    cells = numbers.cells(pdf.spoken)
    with pdf.column(0, width):
        widths = _widths(pdf, numbers)
    height = 0.0
    for number, line in enumerate(cells):
        pdf.set_font(TEXT, "" if number else "B", TABLE_PT)
        lines = [
            _lines(pdf, cell, width * share / sum(widths) - left - right + 2 * pdf.c_margin)
            for cell, share, (left, right) in zip(line, widths, _sides(pdf, line), strict=True)
        ]
        height += max(lines) * _ROW_MM + 2 * _PADDING_MM
    return height + 3


def _sides(pdf: Pages, line: Sequence[Cell]) -> list[tuple[float, float]]:
    """What each cell of a line keeps clear at its left and right, in mm."""
    sides, words_before = [], True
    for cell in line:
        left, right = _SIDE_MM, _SIDE_MM + pdf.get_string_width(cell.fill)
        if not (cell.numeric or words_before or pdf.right_to_left):
            left = _AFTER_NUMBERS_MM
        sides.append((left, right))
        words_before = not cell.numeric
    return sides


def _lines(pdf: Pages, cell: Cell, width: float) -> int:
    text = cell.text or " "
    return len(cast(list[str], pdf.multi_cell(width, _ROW_MM, text, dry_run=True, output="LINES", padding=0)))


def _widths(pdf: Pages, numbers: Numbers) -> tuple[float, ...]:
    """Each column's share of the width: as given, or as its longest line asks. Where that is too wide, the
    columns of words give way and break their lines; where words are too long even so, all do."""
    if numbers.widths:
        return tuple(map(float, numbers.widths))
    asked, least, floor = _asked(pdf, numbers)
    for wide, narrow in ((asked, least), (least, floor)):
        if sum(narrow) <= pdf.epw:
            return _between(wide, narrow, pdf.epw)
    return tuple(floor)


def _asked(pdf: Pages, numbers: Numbers) -> tuple[list[float], list[float], list[float]]:
    """The width in mm of each column with whole lines; with whole words and numbers; with a sign at least."""
    cells = numbers.cells(pdf.spoken)
    asked, least, floor = [], [], []
    bare = [cell._replace(fill="") for cell in cells[0]]
    for column, sides in zip(zip(*cells, strict=True), map(sum, _sides(pdf, bare)), strict=True):
        asked.append(sides + _longest(pdf, column, whole_lines=True) + _BETWEEN_COLUMNS_MM)
        least.append(sides + _longest(pdf, column, whole_lines=column[0].numeric) + _HAIR_MM)
        floor.append(sides + max(pdf.get_string_width(cell.fill) for cell in column) + _ONE_SIGN_MM)
    return asked, least, floor


def _between(wide: Sequence[float], narrow: Sequence[float], room: float) -> tuple[float, ...]:
    """The wide widths, or as much of them as there is room for beyond the narrow ones."""
    gives, missing = sum(wide) - sum(narrow), sum(wide) - room
    part = min(1.0, missing / gives) if missing > 0 and gives > 0 else 0.0
    return tuple(most - part * (most - least) for most, least in zip(wide, narrow, strict=True))


def _longest(pdf: Pages, column: Sequence[Cell], *, whole_lines: bool) -> float:
    """The width in mm of a column's longest line, or of its longest word; a head may break in any case."""
    head, *rows = column
    pdf.set_font(TEXT, "B", TABLE_PT)
    widest = max(_wide(pdf, word) for word in head.text.split(" "))
    pdf.set_font(TEXT, "", TABLE_PT)
    for cell in rows:
        parts = [cell.text] if whole_lines else cell.text.split(" ")
        widest = max(widest, pdf.get_string_width(cell.fill) + max(_wide(pdf, part) for part in parts))
    return widest


def _wide(pdf: Pages, text: str) -> float:
    """The width in mm that breaking lines goes by: joined letters count as they stand alone."""
    alone = map(pdf.get_string_width, text.replace("\u200e", "") if pdf.right_to_left else ())
    return max(sum(alone), pdf.get_string_width(text))
