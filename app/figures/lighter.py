"""A drawing as a phone fetches it: the same picture in a third of the bytes.

matplotlib writes coordinates to a millionth of a point, letters in units finer than any screen shows, and
words for other programs. What is left out cannot be seen: places are kept to a tenth of a point, letters to
a twelfth.
"""

from __future__ import annotations

import re

GRID = 32
"""How much coarser letters are than the face's own grid: at 16 points a twelfth of one."""
_PROLOGUE = re.compile(r"^.*?(?=<svg)|<metadata>.*?</metadata>|<!--.*?-->", re.DOTALL)
_LETTER = re.compile(r'(<path id="[^"]*" d=")([^"]*)(" transform="scale\()0\.015625(\)"/>)')
_INVISIBLE = re.compile(r'<path d="M [^"A-Z]*" style="fill: none[^"]*"/>')
_LONG = re.compile(r"-?\d+\.\d{2,}(?=[\s\"),;])")
_STROKE = re.compile(r"([MLQCz])([^MLQCz]*)")
_SPACE = re.compile(r"\s*\n\s*")


def lighter(drawing: bytes) -> bytes:
    """The same drawing with nothing in it that cannot be seen."""
    text = _PROLOGUE.sub("", drawing.decode())
    text = _INVISIBLE.sub("", text)
    head, *parts = re.split(r"(?=<path |<use |<g )", text)
    rounded = (part if "scale(" in part else _LONG.sub(_to_a_tenth, part) for part in parts)
    text = head + "".join(_LETTER.sub(_coarser, part) for part in rounded)
    return _SPACE.sub(" ", text).replace("> <", "><").encode()


def _to_a_tenth(number: re.Match[str]) -> str:
    return f"{round(float(number[0]), 1):g}"


def _coarser(letter: re.Match[str]) -> str:
    return f"{letter[1]}{_relative(letter[2])}{letter[3]}{GRID / 64:g}{letter[4]}"


def _relative(outline: str) -> str:
    """The outline on the coarser grid, each place counted from the end of the stroke before it.

    SVG 2, 9.3: lower-case commands; matplotlib writes M, L, Q, C and z, with all coordinates absolute.
    """
    drawn, x, y, start = [], 0, 0, (0, 0)
    for command, numbers in _STROKE.findall(outline):
        places = [round(float(number) / GRID) for number in numbers.split()]
        if command in "zZ":
            (x, y) = start
        steps = [place - (y if odd % 2 else x) for odd, place in enumerate(places)]
        if places:
            x, y = places[-2:]
        start = (x, y) if command == "M" else start
        drawn.append(
            command.lower() + "".join(f" {step}" if step >= 0 else str(step) for step in steps).strip()
        )
    return "".join(drawn)
