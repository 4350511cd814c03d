"""What the columns of a table may be, by their headings: offered to a person, never applied."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from app.physics.run import QUANTITIES

BENCH, RUN, ASIDE = "bench", "run", "set_aside"
LABELS = (BENCH, RUN, ASIDE)
TITLE, DAY, METAL, ACCEPTED, GRAVITY = "title", "held_on", "material", "accepted", "gravity"
FACTS = (TITLE, DAY, METAL, ACCEPTED, GRAVITY)
"""What all rows of a class have in common, where a table has a column for it."""
_WORDS: Mapping[str, tuple[str, ...]] = {
    BENCH: ("bench", "group", "team", "station", "table", "gruppe", "tisch", "groupe", "paillasse", "mesa"),
    RUN: ("run", "trial", "attempt", "repeat", "versuch", "durchgang", "essai", "ensayo"),
    ASIDE: ("set aside", "excluded", "left out", "outlier", "ignored"),
    TITLE: ("title", "class"),
    METAL: ("metal", "material", "shot of"),
    ACCEPTED: ("accepted", "literature", "handbook"),
    GRAVITY: ("gravity", "g m"),
    DAY: ("date", "day", "datum", "fecha", "jour"),
    "shot_mass": ("mass", "masse", "masa", "weight"),
    "tube_length": ("length", "tube", "länge", "longueur", "longitud"),
    "end_allowance": ("allowance",),
    "inversions": ("inversion", "turns", "falls", "drops", "count", "anzahl", "nombre", "número"),
    "start_temperature": ("start", "initial", "before", "t1", "anfang", "inicial"),
    "end_temperature": ("end temp", "final", "after", "t2", "end", "ende"),
    "room_temperature": ("room", "ambient", "raum", "salle", "ambiente"),
    "caps": ("caps",),
    "settled_depth": ("depth", "settled"),
}
"""Words in a heading, the surest first (common practice, no source)."""
_UNIT = re.compile(r"[(\[/_ ]\s*(?P<unit>°?[A-Za-z]+)\s*[)\]]?\s*$")


def heading_row(rows: Sequence[Sequence[str]]) -> int:
    """The place of the first row with two texts or more, which is taken for the headings."""
    for place, row in enumerate(rows):
        if sum(bool(cell) for cell in row) > 1:
            return place
    return 0


def guessed(headings: Sequence[str]) -> dict[str, int]:
    """A column for each thing that a heading seems to name; each column once."""
    plain = [" ".join(re.split(r"[\s_]+", heading.lower())).strip() for heading in headings]
    own = {one.column.replace("_", " ").lower(): one.name for one in QUANTITIES.values()}
    found: dict[str, int] = {}
    for place, heading in enumerate(plain):
        if (name := own.get(heading)) and name not in found:
            found[name] = place
    for name, words in _WORDS.items():
        if name not in found:
            taken = set(found.values())
            places = [
                place
                for word in words
                for place, heading in enumerate(plain)
                if place not in taken and re.search(rf"(?<![^\W_]){re.escape(word)}", heading)
            ]
            if places:
                found[name] = places[0]
    return found


def guessed_unit(name: str, heading: str) -> str:
    """The unit at the end of a heading, if it is one that the quantity has; else its usual one."""
    quantity = QUANTITIES[name]
    match = _UNIT.search(heading.strip())
    named = {unit.lower().lstrip("°"): unit for unit in quantity.units}
    return named.get(match["unit"].lower().lstrip("°"), quantity.usual_unit) if match else quantity.usual_unit


def guessed_mark(cells: Sequence[str]) -> str:
    """The decimal mark that more cells have."""
    commas = sum(bool(re.fullmatch(r"[-−+]?[0-9]+,[0-9]+\D*", cell)) for cell in cells)
    points = sum(bool(re.fullmatch(r"[-−+]?[0-9]+\.[0-9]+\D*", cell)) for cell in cells)
    return "," if commas > points else "."
