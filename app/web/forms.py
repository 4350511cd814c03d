"""The one reader of forms: what a person typed, the button that was pressed, what the page had shown.

A page of this tool always sends its buttons and what it showed. A form without them was made or changed by
something else, so it is refused: guessing what was meant would decide in the teacher's place.
"""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Self, TypeVar

from flask import request

from app.physics.reading.readings import ReadingProblem, decimal_text
from app.physics.rounding import shortest
from app.records.errors import Unprocessable
from app.words import N_, Message

T = TypeVar("T")
Choice = TypeVar("Choice")
ON_OFF = {"yes": True, "no": False}
LONGEST_TYPED = 1000
_KEY = re.compile(r"[0-9a-f]{32}")


@dataclass
class TypedForm:
    """What was typed, by field in the order of the page, and a sentence for each that cannot be used."""

    typed: dict[str, str]
    problems: dict[str, Message] = field(default_factory=dict)

    @classmethod
    def of(
        cls,
        sent: Mapping[str, str],
        names: Iterable[str],
        offered: Mapping[str, str] | None = None,
        longest: int = LONGEST_TYPED,
    ) -> Self:
        """These fields as sent; one that was not sent holds what the page offers for it."""
        offered = offered or {}
        return cls({name: sent.get(name, offered.get(name, ""))[:longest] for name in names})

    def read(self, name: str, parse: Callable[[str], T]) -> T | None:
        """What the parser makes of a field; None, and the problem kept, where it refuses."""
        try:
            return parse(self.typed[name])
        except ReadingProblem as problem:
            self.refuse(name, problem.message)
            return None

    def read_optional(self, name: str, parse: Callable[[str], T]) -> T | None:
        """The same for a field that may stay empty."""
        return self.read(name, parse) if self.typed[name].strip() else None

    def refuse(self, name: str, problem: Message) -> None:
        """Keep the problem of a field; the first one found stays."""
        self.problems.setdefault(name, problem)

    def refuse_different(self, name: str, again: str, problem: Message) -> None:
        """Refuse a text that has to be typed twice where the second one differs."""
        if self.typed[name] != self.typed[again]:
            self.refuse(again, problem)

    def problem_list(self) -> list[tuple[str, Message]]:
        """The problems in the order of the page, for its summary."""
        order = [*self.typed, *(name for name in self.problems if name not in self.typed)]
        return [(name, self.problems[name]) for name in order if name in self.problems]


class NotAButton(Unprocessable):
    """The form names none of its page's buttons."""

    sentence = N_("The form did not say which button was pressed, so nothing was changed. Reload the page.")


class NoRevision(Unprocessable):
    """The form does not say which state of a run its page showed."""

    sentence = N_(
        "The form did not say which readings its page showed, so nothing was changed."
        " Reload the page, look at the run, and send again."
    )


class FormIncomplete(Unprocessable):
    """The form lacks a field that its page always sends: an empty one would have been meant."""

    sentence = N_(
        "The form came without everything that its page sends, so nothing was changed. Reload the page, then"
        " send again."
    )


def in_unit(unit: str, shift: int) -> Callable[[Decimal | None], str]:
    """How a field offers a stored number: ten to the power of `shift` of it, with the unit: 45 mm."""
    return lambda stored: "" if stored is None else f"{shortest(stored.scaleb(shift))} {unit}"


in_cm, in_mm, in_g, in_kg = in_unit("cm", 2), in_unit("mm", 3), in_unit("g", 3), in_unit("kg", 0)


def plain(value: Decimal | None) -> str:
    """A stored number as a field offers it, without its unit."""
    return "" if value is None else decimal_text(value)


def new_key() -> str:
    """A run's own key: 128 bits of chance, in hex."""
    return secrets.token_hex(16)


def is_key(text: str) -> bool:
    """Whether a text is a key of the form that this tool makes."""
    return bool(_KEY.fullmatch(text))


def parse_day(text: str, otherwise: Message) -> date:
    """A day as a date field sends it. Raises `ReadingProblem` with this sentence for anything else."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise ReadingProblem(otherwise) from None


def whole_number(text: str, least: int, most: int) -> int | None:
    """A whole number within these bounds; None for anything else."""
    plain = text.strip()
    number = int(plain) if plain.isascii() and plain.isdecimal() and len(plain) <= 9 else least - 1
    return number if least <= number <= most else None


def bench_number(typed: str) -> int:
    """A bench number as typed; 0, which is none, for anything else."""
    tidy = typed.strip()
    return int(tidy) if tidy.isdecimal() and len(tidy) <= 4 else 0


def fingerprint(shown: str) -> str:
    """A short digest by which a page says what it showed, so that a form can tell what has changed since."""
    return hashlib.sha256(shown.encode()).hexdigest()[:16]


def pressed(name: str, choices: Mapping[str, Choice]) -> Choice:
    """What the pressed button stands for. Raises `NotAButton` for a field that is missing or unknown."""
    value = request.form.get(name, "")
    if value not in choices:
        raise NotAButton()
    return choices[value]


def seen_revision(name: str) -> int:
    """The revision of a run that the page showed. Raises `NoRevision` where there is none."""
    value = request.form.get(name, type=int)
    if value is None:
        raise NoRevision()
    return value
