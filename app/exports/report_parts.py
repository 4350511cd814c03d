"""What a lesson report is made of: sections of words, tables and pictures.

The same sections make the page and the PDF. A cell or paragraph is a `Message`, said in the reader's
language, or a plain text, which is kept as it was typed.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.words import Message

Words = Message | str


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


@dataclass(frozen=True)
class Figure:
    """A figure by its name, the sentence it stands under, and the text that stands for it."""

    name: str
    finding: Words
    alternative: tuple[Message, ...]


Block = Paragraph | Numbers | Figure


@dataclass(frozen=True)
class Section:
    """A heading and what is under it."""

    heading: Words
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Report:
    """The whole report."""

    title: str
    under: tuple[Words, ...]
    sections: tuple[Section, ...]
