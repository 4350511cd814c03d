"""A row's cells in a document, back to what their columns hold; nothing is guessed or repaired."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import JSON, Boolean, Date, Double, Enum, Integer
from sqlalchemy.types import TypeEngine

from app.exports.file_problem import FileProblem
from app.exports.record.document import LEFT_OUT, columns_in
from app.physics.limits import can_be_stored
from app.records.base import Base, ExactDecimal, UtcDateTime, Words
from app.words import N_

LARGEST_INTEGER = 2**31 - 1
"""PostgreSQL's integer, the smaller of the two (its manual, "Numeric Types")."""
DEEPEST = 30
"""Levels of a kept result: more than any has (our own choice)."""


class DocumentProblem(FileProblem):
    """The file cannot be read as a document."""


class Misfit(DocumentProblem):
    """A place of the document is not as its published form says."""

    def __init__(self, where: str) -> None:
        super().__init__(
            N_(
                "The document is not as its published form says, at %(where)s. It was changed after it was "
                "written, or cut. Nothing of it was stored."
            ),
            where=where[:120],
        )


def fields(value: Any, where: str, names: set[str]) -> dict[str, Any]:
    """An object with exactly these names."""
    if not isinstance(value, dict) or set(value) != names:
        raise Misfit(where)
    return value


def listed(value: Any, where: str, most: int) -> list[Any]:
    """A list of at most so many."""
    if not isinstance(value, list) or len(value) > most:
        raise Misfit(where)
    return value


def items(value: Any, where: str, most: int) -> list[tuple[Any, str]]:
    """The items of a list of at most so many, each with its place."""
    return [(one, f"{where}[{n}]") for n, one in enumerate(listed(value, where, most))]


def row(model: type[Base], value: Any, where: str, *beside: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The columns of a row, and what stands beside them under names of their own."""
    columns = NAMES[model]
    found = fields(value, where, {*columns, *beside})
    cells = {
        name: cell(type_, found[name], f"{where}.{name}", may_be_empty=nullable)
        for name, (type_, nullable) in columns.items()
    }
    return cells, {name: found[name] for name in beside}


def cell(type_: TypeEngine[Any], value: Any, where: str, *, may_be_empty: bool) -> Any:
    """What the column holds. Raises `Misfit`."""
    if value is None and may_be_empty:
        return None
    for kind, read in _READERS.items():
        if isinstance(type_, kind):
            try:
                return read(type_, value)
            except (TypeError, ValueError, OverflowError, KeyError):
                raise Misfit(where) from None
    raise AssertionError(f"no document holds a {type_}")


def whole_number(value: Any, where: str, least: int = 0) -> int:
    """A whole number from `least` on."""
    if not _is_whole(value) or not least <= value <= LARGEST_INTEGER:
        raise Misfit(where)
    return int(value)


def text(value: Any, where: str, longest: int) -> str:
    """A text that the records can hold."""
    if not isinstance(value, str) or len(value) > longest or not _can_be_kept(value):
        raise Misfit(where)
    return value


def exact(value: Any) -> Decimal:
    """A number as the document has it, digit for digit."""
    if not isinstance(value, Decimal) and not _is_whole(value):
        raise TypeError
    number = Decimal(value)
    if not can_be_stored(number):
        raise ValueError
    return number


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _can_be_kept(text: str) -> bool:
    return "\x00" not in text and not any("\ud800" <= character <= "\udfff" for character in text)


def _instance(kind: type) -> Callable[[Any, Any], Any]:
    def read(_type: Any, value: Any) -> Any:
        if not isinstance(value, kind):
            raise TypeError
        return value

    return read


def _words(type_: Any, value: Any) -> str:
    longest = type_.impl_instance.length
    if not isinstance(value, str) or not _can_be_kept(value) or (longest and len(value) > longest):
        raise ValueError
    return value


def _moment(_type: Any, value: Any) -> datetime:
    found = datetime.fromisoformat(value)
    if found.tzinfo is None:
        raise ValueError
    return found.astimezone(UTC)


def _number(_type: Any, value: Any) -> float:
    if not isinstance(value, Decimal) and not _is_whole(value):
        raise TypeError
    number = float(value)
    if not math.isfinite(number):
        raise ValueError
    return number


def _integer(_type: Any, value: Any) -> int:
    if not _is_whole(value) or abs(value) > LARGEST_INTEGER:
        raise ValueError
    return int(value)


def _json(_type: Any, value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise TypeError
    return {name: _plain(held, 1) for name, held in _kept(value)}


def _plain(value: Any, depth: int) -> Any:
    """As Python's own JSON reader gives it: fractions as floats."""
    if depth > DEEPEST:
        raise ValueError
    if isinstance(value, dict):
        return {name: _plain(held, depth + 1) for name, held in _kept(value)}
    if isinstance(value, list):
        return [_plain(held, depth + 1) for held in value]
    if isinstance(value, Decimal):
        return _number(None, value)
    if isinstance(value, str) and not _can_be_kept(value):
        raise ValueError
    return value


def _kept(value: dict[str, Any]) -> list[tuple[str, Any]]:
    if not all(_can_be_kept(name) for name in value):
        raise ValueError
    return list(value.items())


_READERS: Mapping[type, Callable[[Any, Any], Any]] = {
    ExactDecimal: lambda _type, value: exact(value),
    UtcDateTime: _moment,
    Words: _words,
    Enum: lambda type_, value: type_.enum_class(value),
    Boolean: _instance(bool),
    Date: lambda _type, value: date.fromisoformat(value),
    JSON: _json,
    Double: _number,
    Integer: _integer,
}
"""By the type of the column; the first that fits reads it."""

NAMES = {
    model: {column.key: (column.type, bool(column.nullable)) for column in columns_in(model)}
    for model in LEFT_OUT
}
