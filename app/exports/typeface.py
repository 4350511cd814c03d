"""The faces of the PDFs, and where a sign is taken from that none of them has.

From right to left everything is set in DejaVu: the pages' Arabic face writes a letter as a body and its
dots, and a line of two faces is kept in the order in which it is drawn, so that text copied out of the PDF
would have neither its letters nor its order.
"""

from __future__ import annotations

from fpdf import FPDF

from app.look.faces import ARABIC, FACES, HEAD, OTHER_SIGNS, TEXT, other_signs

__all__ = ["HEAD", "TEXT", "add_typefaces"]


def add_typefaces(pdf: FPDF, *, shaping: bool) -> None:
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
    pdf.set_text_shaping(shaping)
