"""Requests to every route: the forms of its pages as they are, with fields, headers and addresses altered."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from html import unescape
from typing import Any
from urllib.parse import quote, urlsplit

from hypothesis import strategies as st

from tests.faults.any_text import any_text, tables

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | any_text,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(any_text, inner, max_size=4),
    max_leaves=8,
)
HEADERS = (
    "Accept",
    "Accept-Encoding",
    "Accept-Language",
    "Cookie",
    "Host",
    "If-Modified-Since",
    "If-None-Match",
    "Origin",
    "Range",
    "Referer",
    "User-Agent",
    "X-CSRFToken",
    "X-Forwarded-For",
    "X-Forwarded-Proto",
    "X-Plumbfall",
)
OFTEN = 12
"""Of so many draws one is altered."""
SELDOM = 10
"""A page that is drawn slowly is asked for so many times less often."""


@dataclass(frozen=True)
class Way:
    """A route with an address that exists, its arguments, whom it is for, and the fields of its form."""

    endpoint: str
    method: str
    rule: str
    values: Mapping[str, object]
    visitors: tuple[str, ...]
    fields: Mapping[str, tuple[str, ...]]
    """What the page offers for each field; several where it has several."""
    is_slow: bool = False


@dataclass(frozen=True)
class AnyRequest:
    """One request, as the test client takes it."""

    way: Way = field(repr=False)
    who: str
    method: str
    address: str
    query: Mapping[str, str]
    headers: Mapping[str, str]
    form: Mapping[str, list[str]] | None
    body: bytes | None
    kind: str
    file: tuple[str, str] | None

    def __str__(self) -> str:
        return f"{self.who}: {self.method} {self.address} ({self.way.endpoint})"


def weighted(ways: list[Way]) -> list[Way]:
    """These ways, those that are quick so many times."""
    return [way for way in ways for _ in range(1 if way.is_slow else SELDOM)]


@st.composite
def requests(draw: st.DrawFn, ways: list[Way], everybody: list[str]) -> AnyRequest:
    """A request of somebody who mostly may, with a form that is mostly the page's.

    Hypothesis draws what is typed; a generator with a drawn seed takes the choices, which costs far less.
    """
    chance = random.Random(draw(st.integers(0, 2**32)))

    def rarely() -> bool:
        return chance.randrange(OFTEN) == 0

    way = chance.choice(ways)
    who = chance.choice(everybody if rarely() or not way.visitors else way.visitors)
    values = {
        name: draw(any_text if isinstance(value, str) else number) if rarely() else value
        for name, value in way.values.items()
    }
    headers = {}
    if chance.random() < 0.5 and way.endpoint.startswith("bench."):
        headers["X-Plumbfall"] = "script"
    if rarely():
        headers[chance.choice(HEADERS)] = draw(header)
    query, form, body, file = {}, None, None, None
    kind = "application/x-www-form-urlencoded"
    if way.method == "GET" or rarely():
        query = {_a_name(chance, way, draw): draw(any_text) for _ in range(chance.randrange(3))}
    if way.method == "POST" and rarely():
        kind = chance.choice(["application/json", "text/plain", "multipart/form-data", "", "x"])
        body = draw(st.one_of(JSON.map(as_json), st.binary(max_size=200), tables.map(_bytes)))
    elif way.method == "POST":
        form = _form(chance, way, draw)
        if "take_file" in way.endpoint or "grid" in way.endpoint:
            file = (chance.choice(["runs.csv", "runs.xlsx", "p.json", "p.zip"]), draw(tables))
    return AnyRequest(
        way, who, way.method, addressed(way.rule, values), query, headers, form, body, kind, file
    )


def _a_name(chance: random.Random, way: Way, draw: st.DrawFn) -> str:
    """A field that the page knows, seldom another one."""
    if way.fields and chance.randrange(OFTEN):
        return chance.choice(list(way.fields))
    return draw(any_text)[:100] or "x"


def _form(chance: random.Random, way: Way, draw: st.DrawFn) -> dict[str, list[str]]:
    """The page's form with some fields altered, left out or doubled."""
    form = {name: [chance.choice(offered)] for name, offered in way.fields.items()}
    for _ in range(chance.randrange(4)):
        name, how = _a_name(chance, way, draw), chance.randrange(6)
        if how == 0:
            form.pop(name, None)
        else:
            form[name] = [*(form.get(name, []) if how == 1 else []), draw(any_text)]
    return form


number = st.sampled_from([0, 1, 2, 3, 99, 100, 2**31, 2**63, 10**30])
header = st.one_of(
    any_text, st.sampled_from(["bytes=0-", "*", 'W/"1"', "de, ar;q=0.9", "gzip", "script"])
).map(lambda text: re.sub(r"[\r\n\x00]", " ", text)[:4000].encode("utf-8", "replace").decode("latin-1"))


def addressed(rule: str, values: Mapping[str, object]) -> str:
    """The rule with these values in its places."""
    return re.sub(
        r"<(?:[^:<>]+:)?([^<>]+)>", lambda match: quote(str(values[match[1]])[:3000], safe="") or "x", rule
    )


def fields_by_address(pages: Iterable[str]) -> dict[str, dict[str, tuple[str, ...]]]:
    """The fields of every form of these pages, by the address that it is sent to."""
    found: dict[str, dict[str, tuple[str, ...]]] = {}
    for page in pages:
        for attributes, inside in re.findall(r"<form\b([^>]*)>(.*?)</form>", page, re.DOTALL):
            action = re.search(r'action="([^"]*)"', attributes)
            if action is None:
                continue
            fields = found.setdefault(urlsplit(unescape(action[1])).path, {})
            for name, value in _fields(inside):
                fields[name] = (*fields.get(name, ()), value)
    return found


def _fields(inside: str) -> Iterable[tuple[str, str]]:
    for tag in re.findall(r"<(?:input|button|option|textarea|select)\b[^>]*>", inside):
        name, value = re.search(r'\bname="([^"]*)"', tag), re.search(r'\bvalue="([^"]*)"', tag)
        if name and unescape(name[1]) != "csrf_token":
            yield unescape(name[1]), unescape(value[1]) if value else ""


def as_json(value: Any) -> bytes:
    """As a script would send it, lone surrogates and all."""
    return json.dumps(value).encode()


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")
