"""The reading of a thermometer in melting ice as typed, on a bench's phone and at the desk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Self

from app.physics.asking.temperatures import far_off
from app.physics.reading.ice_point import parse_ice_point
from app.physics.reading.readings import Reading
from app.web.forms import TypedForm
from app.words import Message

NAME = "ice_point"
UNITS = ("°C", "°F")


@dataclass
class IcePointForm(TypedForm):
    """What was typed, what is asked about it, and the reading if it may be kept; None for an empty field."""

    unit: str = UNITS[0]
    question: Message | None = None
    reading: Reading | None = None

    @classmethod
    def stored(cls, text: str | None) -> Self:
        """The form as it stands before anything is typed."""
        return cls({NAME: text or ""})

    @classmethod
    def sent(cls, form: Mapping[str, str]) -> Self:
        """What was typed. A thermometer that is far off is asked about until the bench stands by it."""
        found = cls.of(form, [NAME], longest=200)
        chosen = form.get(f"{NAME}_unit", "")
        found.unit = chosen if chosen in UNITS else UNITS[0]
        found.reading = found.read_optional(NAME, lambda text: parse_ice_point(text, found.unit))
        if found.reading and form.get("sure") != found.shown:
            found.question = far_off(found.reading.value)
        return found

    @property
    def shown(self) -> str:
        """By which the page says what exactly it asked about."""
        return f"{self.typed[NAME]} {self.unit}"

    @property
    def may_be_kept(self) -> bool:
        """Nothing is wrong with it and nothing left to ask."""
        return not (self.problems or self.question)
