"""The highest id that each table ever gave out, so that none is given out twice after a move either."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import Integer, Table, func, select, text
from sqlalchemy.engine import Connection


def highest_ids(connection: Connection, tables: Sequence[Table]) -> dict[str, int]:
    """By table, for those whose ids the database gives out; 0 where it gave none."""
    found = {}
    for table in tables:
        if (key := _numbered(table)) is None:
            continue
        stored = connection.scalar(select(func.max(table.c[key]))) or 0
        found[table.name] = max(stored, _given_out(connection, table.name, key))
    return found


def set_highest_ids(connection: Connection, tables: Sequence[Table], highest: Mapping[str, int]) -> None:
    """The next id of each table is one more."""
    for table in tables:
        name, key = table.name, _numbered(table)
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


def _numbered(table: Table) -> str | None:
    """The key that the database numbers by itself."""
    (key, *more) = table.primary_key.columns
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
