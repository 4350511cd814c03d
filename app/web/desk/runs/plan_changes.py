"""A change of the plan, as the history keeps it ("name: before → after; …"), in words and units."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date

from app.practicals.lesson.details import PLAN_COLUMNS, WITHOUT_FIGURES
from app.records.choices import GravityHow
from app.web.desk.blueprint import UNIT, day, field_name, metal_name
from app.web.languages import LANGUAGES, say
from app.web.numbers import plain_float
from app.words import N_, Message

_NEXT = re.compile(rf"; (?=(?:{'|'.join(PLAN_COLUMNS)}): |(?:{'|'.join(WITHOUT_FIGURES)})(?:;|$))")
"""Between two changes; a title may hold a semicolon too."""
_WORDS = {"None": Message(N_("not given")), "True": Message(N_("yes")), "False": Message(N_("no"))}
UNITS = {
    "J_per_kg_K": "J/(kg·K)",
    "J_per_K": "J/K",
    "m_per_s2": "m/s²",
    "kg": "kg",
    "m": "m",
    "K": "K",
    "C": "°C",
    "deg": "°",
}
_LABELS = {"room_temperature_C": Message(N_("Room temperature of every run without one of its own"))}
"""Where the field's name would not say what the change does."""
_GRAVITY = {
    GravityHow.TYPED: Message(N_("typed")),
    GravityHow.LATITUDE: Message(N_("from latitude and height")),
    GravityHow.STANDARD: Message(N_("the standard value")),
}


def plan_changes(detail: str) -> str:
    """Every change with its field's name; a title or a source stands as it was typed."""
    return "; ".join(_change(one) for one in _NEXT.split(detail))


def _change(text: str) -> str:
    name, colon, change = text.partition(": ")
    if name in PLAN_COLUMNS and name not in ("title", "accepted_source"):
        change = " → ".join(_value(name, value) for value in change.split(" → "))
    label = say(_LABELS[name]) if name in _LABELS else field_name(name)
    return f"{label}{colon}{change}"


def _value(name: str, value: str) -> str:
    if value in _WORDS:
        return say(_WORDS[value])
    try:
        if name in _OF_A_FIELD:
            return _OF_A_FIELD[name](value)
        unit = UNIT.search(name)
        return f"{plain_float(float(value))} {UNITS[unit[1]]}" if unit else value
    except ValueError:
        return value  # what another version wrote


_OF_A_FIELD: Mapping[str, Callable[[str], str]] = {
    "material": metal_name,
    "language": lambda code: LANGUAGES.get(code, code),
    "held_on": lambda text: day(date.fromisoformat(text)),
    "delete_after": lambda text: day(date.fromisoformat(text)),
    "gravity_how": lambda how: say(_GRAVITY[GravityHow(how)]),
}
"""How the values of a field are written that are no measures."""
