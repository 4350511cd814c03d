"""JSON whose numbers keep every digit: a `Decimal` goes out as it stands, and comes in as a `Decimal`."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from decimal import Decimal
from json.encoder import encode_basestring
from typing import Any

STEP = " "


def dumps(value: Any) -> str:
    """The value as indented JSON text, with a line end behind it."""
    return "".join(_pieces(value, "\n")) + "\n"


def loads(text: str | bytes) -> Any:
    """The value in a JSON text. `ValueError` where a number is none that JSON knows (NaN, Infinity)."""
    return json.loads(text, parse_float=Decimal, parse_int=_whole, parse_constant=_refuse)


def _pieces(value: Any, line: str) -> Iterator[str]:
    inner = line + STEP
    if isinstance(value, Mapping):
        yield "{"
        for place, (name, held) in enumerate(value.items()):
            yield f"{',' if place else ''}{inner}{encode_basestring(name)}: "
            yield from _pieces(held, inner)
        yield f"{line}}}" if value else "}"
    elif isinstance(value, list | tuple):
        yield "["
        for place, held in enumerate(value):
            yield f"{',' if place else ''}{inner}"
            yield from _pieces(held, inner)
        yield f"{line}]" if value else "]"
    elif isinstance(value, Decimal):
        yield format(value, "f")
    elif isinstance(value, str):
        yield encode_basestring(value)
    else:
        yield json.dumps(value, allow_nan=False)


def _whole(digits: str) -> int | Decimal:
    return Decimal(digits) if digits.startswith("-0") else int(digits)


def _refuse(constant: str) -> Any:
    raise ValueError(f"{constant} is not a number in JSON")
