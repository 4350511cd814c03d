"""The faces that travel with the program: WOFF2 for pages, TTF for figures and PDFs.

They are subsets (made by `app.look.subsets`) of open fonts, under names of our own, since the SIL Open Font
License keeps reserved names for the unchanged fonts. Each licence lies beside the files.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from app.resources import static_dir

HEAD, TEXT, ARABIC = "Plumb Head", "Plumb Text", "Plumb Arabic"
OTHER_SIGNS = "DejaVu Sans"
"""Where figures and PDFs take a sign from that none of the faces has; it travels with matplotlib."""

LATIN = (
    *range(0x20, 0x7F),
    *range(0xA0, 0x100),
    *(ord(sign) for sign in "ŒœŸ‐–—‘’‚“”„•…‰′″‹›€−²³⁻¹→←↑↓≤≥≈"),
)
"""Latin-1 with the punctuation and the signs that pages and figures use."""
ARABIC_LETTERS = tuple(range(0x600, 0x700))


@dataclass(frozen=True)
class Face:
    """One weight of a family: the font it is cut from, its licence, and the characters it keeps."""

    family: str
    weight: int
    source: str
    licence: str
    characters: tuple[int, ...]

    @property
    def name(self) -> str:
        """The name of its files, without an ending."""
        return f"{self.family.lower().replace(' ', '-')}-{self.weight}"

    @property
    def woff2(self) -> Path:
        """The file that browsers load."""
        return fonts_dir() / f"{self.name}.woff2"

    @property
    def ttf(self) -> Path:
        """The file that figures and PDFs are set with; its digits are all of one width."""
        return fonts_dir() / f"{self.name}.ttf"


FACES = (
    Face(HEAD, 700, "Bitter_700Bold.ttf", "OFL-Bitter.txt", LATIN),
    Face(TEXT, 400, "FiraSans_400Regular.ttf", "OFL-FiraSans.txt", LATIN),
    Face(TEXT, 600, "FiraSans_600SemiBold.ttf", "OFL-FiraSans.txt", LATIN),
    Face(ARABIC, 400, "NotoSansArabic_400Regular.ttf", "OFL-NotoSansArabic.txt", ARABIC_LETTERS),
    Face(ARABIC, 700, "NotoSansArabic_700Bold.ttf", "OFL-NotoSansArabic.txt", ARABIC_LETTERS),
)


def fonts_dir() -> Path:
    """Where the font files lie."""
    return static_dir() / "fonts"


def other_signs(*, bold: bool) -> Path:
    """The fallback's file; found without importing matplotlib, which is slow."""
    found = find_spec("matplotlib")
    if found is None or found.origin is None:
        raise RuntimeError("matplotlib is not installed, so its typeface is missing")
    file = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return Path(found.origin).parent / "mpl-data" / "fonts" / "ttf" / file
