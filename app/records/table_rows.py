"""The rows of a table as they are kept, read and written alike on both databases, and their digest.

Texts, exact decimals and JSON pass as the text that is kept, so that nothing is read as a number and written
anew; instants pass in UTC, to the microsecond. The highest id that a table ever gave out goes along, so that
none is given out twice after a move either.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import psycopg
from psycopg import sql
from sqlalchemy import (
    JSON,
    Column,
    Enum,
    Integer,
    String,
    Table,
    column,
    func,
    insert,
    select,
    table,
    text,
)
from sqlalchemy.engine import Connection
from sqlalchemy.sql.selectable import TableClause
from sqlalchemy.types import TypeDecorator, TypeEngine

BATCH = 1000
"""Rows held at once; a batch of the widest table is some megabytes (own choice)."""


@dataclass(frozen=True)
class Summed:
    """How many rows a table has, and the SHA-256 of their values in the order of their keys."""

    rows: int
    digest: str


class Summing:
    """Adds rows up to a `Summed`."""

    def __init__(self) -> None:
        self._rows, self._hash = 0, hashlib.sha256()

    def add(self, rows: Iterable[Sequence[object]]) -> None:
        """The next rows in the order of the keys."""
        for row in rows:
            self._rows += 1
            self._hash.update(b"\x1e" + b"\x1f".join(_written(value) for value in row))

    def summed(self) -> Summed:
        """What it is so far."""
        return Summed(self._rows, self._hash.hexdigest())


def as_kept(declared: Table) -> TableClause:
    """The table with columns that give and take what is kept."""
    return table(declared.name, *(column(one.name, _kept_type(one.type)) for one in declared.columns))


def batches(connection: Connection, declared: Table) -> Iterator[Sequence[Sequence[Any]]]:
    """All rows in the order of their keys, some at a time."""
    kept = as_kept(declared)
    order = [_ordered(connection, kept, key) for key in declared.primary_key.columns]
    wanted = select(*kept.columns).order_by(*order).execution_options(yield_per=BATCH)
    with connection.execute(wanted) as found:
        yield from found.partitions()


def store(connection: Connection, declared: Table, rows: Sequence[Sequence[Any]]) -> None:
    """Add these rows. PostgreSQL takes them as a stream (its manual, "Populating a Database")."""
    names = [column.name for column in declared.columns]
    driver = connection.connection.driver_connection
    if isinstance(driver, psycopg.Connection):
        quoted = sql.SQL(", ").join(map(sql.Identifier, names))
        into = sql.SQL("COPY {} ({}) FROM STDIN").format(sql.Identifier(declared.name), quoted)
        with driver.cursor() as cursor, cursor.copy(into) as stream:
            for row in rows:
                stream.write_row(row)
        return
    connection.execute(insert(as_kept(declared)), [dict(zip(names, row, strict=True)) for row in rows])


def summed(connection: Connection, declared: Table) -> Summed:
    """The digest of a whole table."""
    summing = Summing()
    for rows in batches(connection, declared):
        summing.add(rows)
    return summing.summed()


def _ordered(connection: Connection, kept: TableClause, key: Column[Any]) -> Any:
    """SQLite sorts texts by their bytes; PostgreSQL does where it is told to."""
    there = kept.columns[key.name]
    by_bytes = connection.dialect.name == "postgresql" and isinstance(there.type, String)
    return there.collate("C") if by_bytes else there


def _kept_type(declared: TypeEngine[Any]) -> TypeEngine[Any]:
    if isinstance(declared, JSON):
        return JSON(none_as_null=True)
    inside = declared.impl if isinstance(declared, TypeDecorator) else declared
    return String() if isinstance(inside, String | Enum) else declared


def _written(value: object) -> bytes:
    """One value so that no two different ones are written alike."""
    if value is None:
        return b"-"
    if isinstance(value, bool | int):
        return b"i%d" % value
    if isinstance(value, float):
        return b"f" + value.hex().encode()
    if isinstance(value, datetime):
        return b"t" + value.isoformat(timespec="microseconds").encode()
    if isinstance(value, date):
        return b"d" + value.isoformat().encode()
    if isinstance(value, bytes):
        return b"b%d:" % len(value) + value
    if isinstance(value, str):
        content = value.encode("utf-8", "surrogatepass")
        return b"s%d:" % len(content) + content
    raise TypeError(f"no way to write a {type(value).__name__} for a digest")


def highest_ids(connection: Connection, tables: Sequence[Table]) -> dict[str, int]:
    """The highest id that each table gave out, 0 where none; of those tables that number their rows."""
    found = {}
    for declared in tables:
        if (key := _numbered(declared)) is None:
            continue
        stored = connection.scalar(select(func.max(declared.c[key]))) or 0
        found[declared.name] = max(stored, _given_out(connection, declared.name, key))
    return found


def set_highest_ids(connection: Connection, tables: Sequence[Table], highest: Mapping[str, int]) -> None:
    """The next id of each table is one more."""
    for declared in tables:
        name, key = declared.name, _numbered(declared)
        if key is None:
            continue
        number = highest[name]
        if connection.dialect.name == "sqlite":
            connection.execute(text("DELETE FROM sqlite_sequence WHERE name = :name"), {"name": name})
            if number:
                values = {"name": name, "number": number}
                connection.execute(text("INSERT INTO sqlite_sequence VALUES (:name, :number)"), values)
            continue
        connection.execute(
            text("SELECT setval(pg_get_serial_sequence(:name, :key), greatest(:number, 1), :number > 0)"),
            {"name": f'"{name}"', "key": key, "number": number},
        )


def _numbered(declared: Table) -> str | None:
    """The key that the database numbers by itself."""
    (key, *more) = declared.primary_key.columns
    numbered = not more and isinstance(key.type, Integer) and not key.foreign_keys
    return key.name if numbered and key.autoincrement is not False else None


def _given_out(connection: Connection, name: str, key: str) -> int:
    if connection.dialect.name == "sqlite":
        asked = text("SELECT seq FROM sqlite_sequence WHERE name = :name")
        return int(connection.scalar(asked, {"name": name}) or 0)
    sequence = connection.scalar(
        text("SELECT pg_get_serial_sequence(:name, :key)"), {"name": f'"{name}"', "key": key}
    )
    row = connection.execute(text(f"SELECT last_value, is_called FROM {sequence}")).one()  # nosec B608 # noqa: S608 - its own name
    return int(row.last_value) if row.is_called else int(row.last_value) - 1
