"""Sentences that can be shown in more than one language.

The pure parts say things to people (a reason for a flag, a warning). They cannot know
the reader's language, so they return a `Message`: the English sentence with named
places, and the values for them. `str(message)` is the English sentence; the pages
translate the template through the message catalogue and then fill the places in.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from unicodedata import bidirectional

FIGURE_WITH_UNIT = re.compile(
    r"(?:[−-]?[0-9]+(?:[.,][0-9]+)?[ \u00a0]±[ \u00a0])?(?:[−-]?[0-9]+(?:[.,][0-9]+)?|\{\w+\})[ \u00a0]"
    r"(?:°[CF]|kg|g|m/s²|[cm]?m|k?J/\(kg·K\)|J/K|k?J/kg|k?J|K|min|s|MB)(?![\w/])"
)
"""A figure, with its uncertainty if it has one, and its unit, which stay in this order in a sentence that is
read from right to left."""

UNIT_OF_A_HEAD = re.compile(r"(?<=/[ \u00a0])°[CF]")
"""A unit behind a stroke whose two signs stay in this order there."""


def has_right_to_left_letters(text: str) -> bool:
    """Whether any letter of a text is read from the right (Unicode Standard Annex 9: classes R and AL)."""
    return any(bidirectional(sign) in ("R", "AL") for sign in text)


def N_(template: str) -> str:
    """Mark an English template for the message catalogue and return it unchanged."""
    return template


@dataclass(frozen=True)
class Message:
    """One sentence: an English template with `%(name)s` places, and their values.

    Numbers go in as already rounded strings, written with a decimal point.
    """

    template: str
    values: Mapping[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return self.template % self.values if self.values else self.template.replace("%%", "%")


Say = Callable[[Message], str]
"""Says a sentence in the reader's language; what draws or prints is given one."""


def paragraphs(text: str) -> tuple[str, ...]:
    """The paragraphs of a docstring, each on one line."""
    return tuple(" ".join(part.split()) for part in re.split(r"\n\s*\n", text) if part.strip())
