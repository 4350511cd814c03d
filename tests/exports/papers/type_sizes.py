"""How large the type on a page of a PDF is."""

from __future__ import annotations

from math import hypot

from pypdf import PageObject


def sizes_on(page: PageObject) -> dict[str, float]:
    """Every piece of text with its size in points as printed, whatever scale the page was drawn at."""
    sizes: dict[str, float] = {}

    def note(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            printed = size * hypot(tm[2], tm[3]) * hypot(cm[2], cm[3])
            sizes[text.strip()] = min(printed, sizes.get(text.strip(), printed))

    page.extract_text(visitor_text=note)
    return sizes
