"""The typeface of the PDFs: DejaVu, which travels with matplotlib and has all the scripts we speak."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from fpdf import FPDF

SANS = "dejavu-sans"
SERIF = "dejavu-serif"

_FILES = {
    (SANS, ""): "DejaVuSans.ttf",
    (SANS, "B"): "DejaVuSans-Bold.ttf",
    (SERIF, "B"): "DejaVuSerif-Bold.ttf",
}


def typeface_folder() -> Path:
    """Where the font files lie; found without importing matplotlib, which is slow."""
    found = find_spec("matplotlib")
    if found is None or found.origin is None:
        raise RuntimeError("matplotlib is not installed, so its typefaces are missing")
    return Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"


def add_typefaces(pdf: FPDF, *, shaping: bool) -> None:
    """Make the typefaces known to a document. `shaping` joins and orders letters: for Arabic; it is slow."""
    folder = typeface_folder()
    for (family, style), file in _FILES.items():
        pdf.add_font(family, style, folder / file)
    pdf.set_text_shaping(shaping)
