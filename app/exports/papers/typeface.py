"""The faces of the PDFs, and where a sign is taken from that none of them has.

From right to left everything is set in DejaVu: the pages' Arabic face writes a letter as a body and its
dots, and a line of two faces is kept in the order in which it is drawn, so that text copied out of the PDF
would have neither its letters nor its order.
"""

from __future__ import annotations

import re

from fpdf import FPDF

from app.look.faces import ARABIC, FACES, OTHER_SIGNS, other_signs
from app.words import FIGURE_WITH_UNIT, UNIT_OF_A_HEAD, has_right_to_left_letters

_LEFT_TO_RIGHT = "\u200e"


def figures_kept(text: str) -> str:
    """Words read from the right, whose figures keep their units behind them.

    What has no letter that is read from the right, such as "860 g", stays as it is read on the balance. With
    marks of direction: fpdf2 orders its lines without heeding isolates.
    """
    if not has_right_to_left_letters(text):
        return f"{_LEFT_TO_RIGHT}{text}{_LEFT_TO_RIGHT}"
    bare = text.translate(dict.fromkeys(map(ord, "\u2066\u2069")))
    for pattern in (FIGURE_WITH_UNIT, UNIT_OF_A_HEAD):
        bare = pattern.sub(_marked, bare)
    return bare


def _marked(found: re.Match[str]) -> str:
    """Marked beside its space too, since fpdf2 drops a mark that a new line would begin with."""
    parts = re.split("[ \u00a0]", found[0])
    return _LEFT_TO_RIGHT + f"{_LEFT_TO_RIGHT}\u00a0{_LEFT_TO_RIGHT}".join(parts) + _LEFT_TO_RIGHT


class Document(FPDF):
    """A PDF that knows the faces, and what a text's width was when it was asked for before.

    A layout asks for the same words again and again while it tries sizes and widths of columns; without a
    memory a third of a report's time went there.
    """

    def __init__(self, paper: str, *, right_to_left: bool) -> None:
        super().__init__(format=paper)
        self._widths: dict[tuple[str, str, str, float, float, float], float] = {}
        _add_typefaces(self, shaping=right_to_left)

    def get_string_width(self, s: str, normalized: bool = False, markdown: bool = False) -> float:
        """As fpdf2 works it out, in mm."""
        if normalized or markdown:
            return super().get_string_width(s, normalized, markdown)
        how = self.font_family, self.font_style, self.font_size_pt, self.font_stretching, self.char_spacing
        if (s, *how) not in self._widths:
            self._widths[s, *how] = super().get_string_width(s)
        return self._widths[s, *how]


def blank_document(paper: str, *, right_to_left: bool) -> Document:
    """A document without pages, whose parts are each set at a place: no margins, no page breaks."""
    pdf = Document(paper, right_to_left=right_to_left)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.c_margin = 0
    return pdf


def _add_typefaces(pdf: FPDF, *, shaping: bool) -> None:
    """Make `HEAD` (bold alone) and `TEXT` known to a document.

    `shaping` joins and orders letters: for what is read from right to left; it is slow.
    """
    for bold in (False, True):
        pdf.add_font(OTHER_SIGNS, "B" if bold else "", other_signs(bold=bold))
    for face in FACES:
        bold = face.weight > 400
        if face.family != ARABIC:
            file = other_signs(bold=bold) if shaping else face.ttf
            pdf.add_font(face.family, "B" if bold else "", file)
    pdf.set_fallback_fonts([OTHER_SIGNS], exact_match=False)
    # A sentence that begins with a figure is still read from the right.
    pdf.set_text_shaping(shaping, direction="rtl" if shaping else None)
