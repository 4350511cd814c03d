"""The filters of the department's lists, read from the address, so that a filtered list is a link."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar

from app.physics.materials import MATERIALS
from app.practicals.archive.home import GROUPS
from app.practicals.archive.school_year import days_of, name_of
from app.practicals.archive.search import Choices, Filters, Word
from app.web.forms import TypedForm, parse_day
from app.web.languages import say
from app.words import N_, Message

T = TypeVar("T")
NAMES = ("words", "year", "from", "to", "metal", "teacher", "piece", "state")
"""The filters as an address names them, in the order of the page."""
LONGEST = 200
NO_DAY = N_("“%(typed)s” is no day. Write it as in 2031-03-06.")
UPSIDE_DOWN = Message(N_("The last day is before the first one. Change one of them."))
NOT_IN_THE_LIST = Message(N_("That is not in the list. Choose again."))


@dataclass
class FilterForm(TypedForm):
    """The filters as typed or linked; one that cannot be used lets everything through, and says so."""

    filters: Filters = field(default_factory=Filters)

    @property
    def narrows(self) -> bool:
        """Whether anything was asked for."""
        return any(self.typed.values())

    @property
    def more_asked(self) -> bool:
        """Whether one of the filters was used that the page folds away."""
        return any(text for name, text in self.typed.items() if name != "words")

    @property
    def asked(self) -> dict[str, str]:
        """What was asked for, as an address has it."""
        return {name: text for name, text in self.typed.items() if text}


def read_filters(sent: Mapping[str, str], offered: Choices) -> FilterForm:
    """Read the filters of an address; each has a problem of its own."""
    form = FilterForm.of(sent, NAMES, longest=LONGEST)
    first, last = form.read_optional("from", _day), form.read_optional("to", _day)
    if first and last and last < first:
        form.refuse("to", UPSIDE_DOWN)
        first = last = None
    form.filters = Filters(
        words=words_of(form.typed["words"]),
        first_day=first,
        last_day=last,
        year=_year(form, offered),
        metal=_one_of(form, "metal", {key: key for key in MATERIALS}),
        teacher_id=_one_of(form, "teacher", {str(number): number for number, _name in offered.teachers}),
        piece_id=_one_of(form, "piece", {str(number): number for number, _label in offered.pieces}),
        states=_one_of(form, "state", GROUPS) or frozenset(),
    )
    return form


def named_years(offered: Choices) -> list[tuple[int, str]]:
    """The school years to choose from, each with its name."""
    return [(year, name_of(year, offered.begins_in)) for year in offered.years]


def metals() -> list[tuple[str, str]]:
    """The metals to choose from, each with its name in the reader's language."""
    return [(key, say(metal.name)) for key, metal in MATERIALS.items()]


def words_of(text: str) -> tuple[Word, ...]:
    """The words of a text, each with the metals that the reader calls so."""
    return tuple(Word(word, _metals(word)) for word in text.split())


def _metals(word: str) -> frozenset[str]:
    """The metals whose name, in the reader's language, has this word in it."""
    wanted = word.casefold()
    return frozenset(
        key
        for key, metal in MATERIALS.items()
        if wanted == key or any(part.startswith(wanted) for part in _parts(say(metal.name)))
    )


def _parts(name: str) -> list[str]:
    return name.casefold().replace("(", " ").replace(")", " ").split()


def _day(text: str) -> date:
    return parse_day(text, Message(NO_DAY, {"typed": text.strip()}))


def _year(form: FilterForm, offered: Choices) -> int | None:
    """The school year; one without practicals is taken, for a link to it may be older than their deletion."""
    text = form.typed["year"].strip()
    if not text:
        return None
    try:
        days_of(int(text), offered.begins_in)
    except ValueError:
        form.refuse("year", NOT_IN_THE_LIST)
        return None
    return int(text)


def _one_of(form: FilterForm, name: str, choices: Mapping[str, T]) -> T | None:
    text = form.typed[name].strip()
    if text and text not in choices:
        form.refuse(name, NOT_IN_THE_LIST)
    return choices.get(text)
