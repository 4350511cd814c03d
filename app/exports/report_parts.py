"""What a lesson report is made of: sections of words, tables and pictures.

The same sections make the page and the PDF. A cell or paragraph is a `Message`, said in the reader's
language, or a plain text, which is kept as it was typed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from app.words import Message

Words = Message | str

ABSENT: Final = "–"
"""What stands where there is no number."""
_NUMBER = re.compile(r"[−+-]?\d[\d.,]*")
_NUMERIC = re.compile(
    rf"{_NUMBER.pattern}(?:\s?(?:±|to|\.\.\.|…)\s?{_NUMBER.pattern})?"
    r"(?:\s?[%°○◎a-zA-Z/·()²]+)*(?: \(\d+ of \d+\))?"
)


@dataclass(frozen=True)
class Paragraph:
    """One paragraph; `strong` for the sentence that matters."""

    words: Words
    strong: bool = False


@dataclass(frozen=True)
class Numbers:
    """A table. `wide` columns (by place) get more room; the first row is the head."""

    caption: Words
    head: tuple[Words, ...]
    rows: tuple[tuple[Words, ...], ...]
    widths: tuple[int, ...] | None = None

    @property
    def numeric(self) -> tuple[bool, ...]:
        """For each column, whether it holds numbers, which end on one line."""
        return tuple(
            any(cell != ABSENT for cell in column)
            and all(cell == ABSENT or _NUMERIC.fullmatch(cell) is not None for cell in column)
            for column in ([str(row[place]) for row in self.rows] for place in range(len(self.head)))
        )


@dataclass(frozen=True)
class Headline:
    """The one value that everything else explains: with its unit, and the interval in its band."""

    figure: Words
    unit: str
    interval_of: Words
    interval: Words


@dataclass(frozen=True)
class Figure:
    """A figure by its name, the sentence it stands under, the text that stands for it, and its numbers."""

    name: str
    finding: Words
    alternative: tuple[Message, ...]
    beside: Numbers | None = None


Block = Paragraph | Headline | Numbers | Figure


@dataclass(frozen=True)
class Section:
    """A heading and what is under it."""

    heading: Words
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Report:
    """The whole report."""

    title: str
    day: str
    under: tuple[Words, ...]
    sections: tuple[Section, ...]
