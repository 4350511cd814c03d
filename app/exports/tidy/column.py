"""What a column of a table is: its name, what stands in it, and the unit that it is in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from app.words import Message


class Kind(StrEnum):
    """What a cell holds, by the names of XML Schema (CSV on the Web, "Datatypes")."""

    TEXT = "string"
    DECIMAL = "decimal"
    WHOLE = "integer"
    YES = "boolean"
    DAY = "date"
    MOMENT = "dateTime"


UCUM: Mapping[str, str] = {
    "g": "g",
    "kg": "kg",
    "cm": "cm",
    "m": "m",
    "°C": "Cel",
    "K": "K",
    "J/K": "J/K",
    "J/kg": "J/kg",
    "J/(kg·K)": "J/(kg.K)",
    "m/s²": "m/s2",
    "%": "%",
    "1": "1",
}
"""The codes of units in the Unified Code for Units of Measure, by what people write."""


@dataclass(frozen=True)
class Column:
    """One column. `unit` is one of `UCUM`; empty where the cell is no measured number."""

    name: str
    what: Message
    kind: Kind = Kind.TEXT
    unit: str = ""
    source: str = ""
    """Where the definition is from."""
    needed: bool = False
    """Whether every row has it."""


def text(name: str, what: str, *, needed: bool = False) -> Column:
    """A column of words or keys."""
    return Column(name, Message(what), needed=needed)


def number(name: str, what: str, unit: str, source: str = "", *, needed: bool = False) -> Column:
    """A column of decimals in a unit."""
    return Column(name, Message(what), Kind.DECIMAL, unit, source, needed)


def count(name: str, what: str, *, needed: bool = False) -> Column:
    """A column of whole numbers."""
    return Column(name, Message(what), Kind.WHOLE, "1", needed=needed)


def yes(name: str, what: str) -> Column:
    """A column that holds "yes" or nothing."""
    return Column(name, Message(what), Kind.YES)


def day(name: str, what: str, *, needed: bool = False) -> Column:
    """A column of days."""
    return Column(name, Message(what), Kind.DAY, needed=needed)


def moment(name: str, what: str, *, needed: bool = False) -> Column:
    """A column of moments in UTC."""
    return Column(name, Message(what), Kind.MOMENT, needed=needed)


@dataclass(frozen=True)
class Table:
    """One table: the name of its file, its columns, and those by which a row is known."""

    name: str
    what: Message
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    refers: tuple[str, str, str] | None = None
    """A column of this table, and the table and column whose row it names."""
    shared: bool = False
    """Whether several practicals name the same rows, so that each is written once."""

    @property
    def names(self) -> tuple[str, ...]:
        """The columns' names, in order."""
        return tuple(column.name for column in self.columns)
