"""The keys of the JSON files as the guide shows them: read from the published form and the declared words."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from app.analysis.views import json_words
from app.exports.package_words import MANIFEST_KEYS
from app.exports.record.document import SCHEMA
from app.resources import static_dir
from app.web.desk.blueprint import UNIT
from app.web.desk.runs.plan_changes import UNITS
from app.words import Message


@dataclass(frozen=True)
class KeyWords:
    """One key by its path in its part, what it means, and the part that it holds, where it holds one."""

    path: str
    what: Message | str
    unit: str = ""
    holds: str = ""


@dataclass(frozen=True)
class Part:
    """A part of a document that stands in several places, or the whole of it (no name)."""

    name: str
    what: str
    keys: tuple[KeyWords, ...]


@cache
def document_parts() -> tuple[Part, ...]:
    """The document of a practical, and the parts that it is made of."""
    schema = json.loads((static_dir() / "formats" / SCHEMA).read_text(encoding="utf-8"))
    parts = {name: part for name, part in schema["$defs"].items() if "properties" in part}
    return (
        Part("", schema["description"], tuple(_keys(schema, schema["$defs"]))),
        *(
            Part(name, part["description"], tuple(_keys(part, schema["$defs"])))
            for name, part in parts.items()
        ),
    )


def _keys(part: Mapping[str, Any], parts: Mapping[str, Any], path: str = "") -> Iterator[KeyWords]:
    for name, value in part.get("properties", {}).items():
        here = f"{path}.{name}" if path else name
        inner = value.get("items", value)
        named = inner.get("$ref", "").rpartition("/")[2]
        held = named if "properties" in parts.get(named, {}) else ""
        what = value.get("description") or parts.get(named, {}).get("description", "")
        unit = UNIT.search(name)
        ending = "[]" if "items" in value else ""
        yield KeyWords(f"{here}{ending}", what, UNITS[unit[1]] if unit else "", held)
        for one in (inner, *value.get("anyOf", ())):
            yield from _keys(one, parts, f"{here}{ending}")


def result_keys() -> tuple[KeyWords, ...]:
    """The keys of a class's result."""
    return tuple(KeyWords(path, key.what, key.unit) for path, key in json_words.KEYS.items())


def manifest_keys() -> tuple[KeyWords, ...]:
    """The keys of a package's list of what is in it."""
    return tuple(KeyWords(path, what) for path, what in MANIFEST_KEYS.items())
