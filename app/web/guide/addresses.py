"""The addresses that a person opens, and the section of the guide that explains each."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flask import Flask, url_for

from app.web.guide import meanings
from app.web.guide.contents import BY_SLUG, NUMBERS
from app.web.guide.where import PLACE_OF
from app.words import N_, Message

WHOM: Mapping[str, Message] = MappingProxyType(
    {
        "anyone": Message(N_("everybody")),
        "bench": Message(N_("a phone that joined")),
        "waiting": Message(N_("a phone that joined")),
        "staff": Message(N_("whoever signed in")),
        "teacher": Message(N_("teachers and heads")),
        "technician": Message(N_("technicians and heads")),
        "head": Message(N_("heads")),
    }
)
"""Whom a page is for, by its audience."""


@dataclass(frozen=True)
class AddressWords:
    """One address as it is declared, whom it is for, and what explains it."""

    rule: str
    whom: Message
    heading: Message
    explained_at: str


def as_read(rule: str) -> str:
    """A rule without the kinds of its places."""
    return re.sub(r"<\w+:", "<", rule)


def addresses(app: Flask) -> tuple[AddressWords, ...]:
    """Those that open a page or a file, in alphabetical order."""
    found = []
    for rule in app.url_map.iter_rules():
        place = PLACE_OF.get(rule.endpoint)
        if place is None or "GET" not in (rule.methods or ()):
            continue
        whom = WHOM[vars(app.view_functions[rule.endpoint])["audience"]]
        meaning = meanings.AT.get(place.anchor) if place.slug == NUMBERS.slug else None
        heading = meaning.title if meaning else Message(BY_SLUG[place.slug].section(place.anchor).title)
        address = url_for("guide.page", slug=place.slug, _anchor=place.anchor)
        found.append(AddressWords(as_read(rule.rule), whom, heading, address))
    return tuple(sorted(found, key=lambda one: one.rule))
