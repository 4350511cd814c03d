"""What a keyboard produced, as plain ASCII where that changes nothing a person can see.

Digits of any script become 0–9, the minus signs of keyboards become `-`, the Arabic and full-width marks
become `.` and `,`, every space becomes a plain one, and invisible direction marks go. Nothing else is
changed; in particular superscripts and fractions stay what they are.
"""

from __future__ import annotations

import unicodedata

_MINUS = "−－﹣‐‑–"
_INVISIBLE = (
    "\u200b\u200c\u200d\u200e\u200f\u061c\u2060\ufeff\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
_MARKS = {"．": ".", "，": ",", "٫": ",", "。": ".", "＋": "+"}
_TABLE = str.maketrans({**dict.fromkeys(_MINUS, "-"), **dict.fromkeys(_INVISIBLE, ""), **_MARKS})


def plain_text(text: str) -> str:
    """The same text with plain digits, signs, marks and single spaces, stripped at both ends."""
    translated = "".join(_plain_digit(character) for character in text.translate(_TABLE))
    return " ".join(translated.split())


def _plain_digit(character: str) -> str:
    digit = unicodedata.decimal(character, None)
    return character if digit is None else str(digit)


def with_unit(raw: str, unit: str) -> str:
    """The typed text with the unit that was understood, unless a unit was typed."""
    text = raw.strip()
    bare = text.lstrip("+-−").replace(".", "", 1).replace(",", "", 1)
    return f"{text} {unit}" if bare.isdigit() and unit and unit != "inversions" else text
