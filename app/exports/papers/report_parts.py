"""What a lesson report is made of: sections of words, tables and pictures.

The same sections make the page and the PDF. A cell or paragraph is a `Message`, said in the reader's
language, or a plain text, which is kept as it was typed.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Final, NamedTuple

from app.words import Message, has_right_to_left_letters

Words = Message | str

ABSENT: Final = "–"
"""What stands where there is no number."""
_NUMBER = re.compile(r"[−+-]?\d[\d.,]*")
_NUMERIC = re.compile(
    rf"{_NUMBER.pattern}(?:\s?%)?(?:\s?(?:±|to|\.\.\.|…)\s?{_NUMBER.pattern}|(?: · {_NUMBER.pattern})+)?"
    r"(?:\s?[%°○◎a-zA-Z/·()²]+)*(?: \(\d+ of \d+\))?"
)


_WHOLE_PART = re.compile(r"[−+-]?\d+")
_ALMOST_ALL, _LONGEST_FILL = 0.8, 18
_MOST_LINES_BESIDE = 14
"""A longer table beside a figure stands in two halves, side by side."""


class Cell(NamedTuple):
    """A cell as it is set. `fill` is as wide as what its number lacks to stand with its decimal mark under
    the others'; it is left as room, not shown."""

    text: str
    numeric: bool = False
    fill: str = ""


@dataclass(frozen=True)
class Paragraph:
    """One paragraph; `strong` for the sentence that matters."""

    words: Words
    strong: bool = False


@dataclass(frozen=True)
class Numbers:
    """A table. `widths` are the columns' shares of the room, which else follow from what they hold.

    `facts`: a name and its value in each row, so that values start where words do. `short` heads stand where
    the table is halved.
    """

    caption: Words
    head: tuple[Words, ...]
    rows: tuple[tuple[Words, ...], ...]
    widths: tuple[int, ...] | None = None
    facts: bool = False
    short: tuple[str, ...] = ()

    @property
    def numeric(self) -> tuple[bool, ...]:
        """For each column, whether it holds numbers, which end on one line; a word among many is no harm."""
        columns = ([str(row[place]) for row in self.rows] for place in range(len(self.head)))
        return tuple(not self.facts and _mostly_numbers(column) for column in columns)

    def cells(self, spoken: Callable[[Words], str]) -> tuple[tuple[Cell, ...], ...]:
        """The head and the rows as they are set, in the reader's words, with the decimal marks of a column
        under each other."""
        head = tuple(map(Cell, map(_unit_kept, map(spoken, self.head)), self.numeric))
        columns = []
        for place, numeric in enumerate(self.numeric):
            texts = [spoken(row[place]) for row in self.rows]
            fills = fillers(texts) if numeric else [""] * len(texts)
            columns.append([Cell(text, numeric, fill) for text, fill in zip(texts, fills, strict=True)])
        return (head, *zip(*columns, strict=True))

    def halved(self, most: int = _MOST_LINES_BESIDE) -> tuple[Numbers, ...]:
        """The table itself, or its two halves where it has more rows than `most`."""
        if len(self.rows) <= most:
            return (self,)
        middle, head = ceil(len(self.rows) / 2), self.short or self.head
        return tuple(replace(self, head=head, rows=half) for half in (self.rows[:middle], self.rows[middle:]))


def _unit_kept(head: str) -> str:
    """A head whose unit stays on one line with the word before it."""
    return head.replace(" / ", "\u00a0/\u00a0")


def _mostly_numbers(column: Sequence[str]) -> bool:
    known = [cell for cell in column if cell != ABSENT]
    numbers = [cell for cell in known if _NUMERIC.fullmatch(cell)]
    return len(numbers) > _ALMOST_ALL * len(known)


def fillers(texts: Sequence[str]) -> list[str]:
    """For each number of a column what stands unseen behind it, so that all end on one line and have their
    decimal marks under each other. Digits are alike in width (`tnum`).

    A column whose words are read from the right has none: there a number's own digits come first and last.
    Nor has one in which a number goes on for very long.
    """
    bare = [text.strip("\u200e\u2066\u2069").replace("\u00a0", " ") for text in texts]
    if any(map(has_right_to_left_letters, bare)):
        return [""] * len(texts)
    behind = [_behind_the_whole_part(text) for text in bare]
    widest: Counter[str] = Counter()
    for tail in behind:
        widest |= tail or Counter()
    if widest.total() > _LONGEST_FILL:
        return [""] * len(texts)
    return [
        "" if tail is None else "".join((widest - tail).elements()).replace(" ", "\u00a0") for tail in behind
    ]


def _behind_the_whole_part(text: str) -> Counter[str] | None:
    """The signs behind a number's whole part, every digit as 0; None for words."""
    if text == ABSENT:
        return Counter()
    whole = _WHOLE_PART.match(text)
    return None if whole is None else Counter(re.sub(r"\d", "0", text[whole.end() :]))


@dataclass(frozen=True)
class Abreast:
    """Tables side by side, where the page is wide enough; `captioned`: each under its caption."""

    tables: tuple[Numbers, ...]
    captioned: bool = False


@dataclass(frozen=True)
class Headline:
    """The one value that everything else explains: with its unit, and the interval in its band."""

    figure: Words
    unit: str
    interval_of: Words
    interval: Words


@dataclass(frozen=True)
class Figure:
    """A figure by its name, the sentence it stands under, the text that stands for it, and its numbers beside
    it: one table, or more side by side. `said` are sentences about what is drawn."""

    name: str
    finding: Words
    alternative: tuple[Message, ...]
    beside: tuple[Numbers, ...] = ()
    said: tuple[Words, ...] = ()


Block = Paragraph | Headline | Numbers | Abreast | Figure


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
