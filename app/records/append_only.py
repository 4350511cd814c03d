"""Tables whose rows are written once: the database itself refuses to change them.

One change is let through: what somebody wrote about a correction or a decision can be removed, because it may
hold a name.

Alembic's batch operations on SQLite recreate a table without its triggers: a migration that alters one of
these tables calls `forbid_updates` again, and `forbid_all_but_removal` for `run_version` and `decision`.
"""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import inspect, text
from sqlalchemy.engine import Connection

FUNCTION = "refuse_to_change_what_was_written"
REMOVED = "(removed by the teacher)"
"""What stands in place of removed words, whoever removed them. It is part of the databases' rules: a new text
needs a migration."""


def rule_name(table: str) -> str:
    """The name under which a refused change is reported, as if it were a constraint of the table."""
    return f"ck_{table}_written_once"


def forbid_updates(connection: Connection, tables: Iterable[str]) -> None:
    """Make the database refuse every UPDATE of these tables."""
    if connection.dialect.name == "postgresql":
        connection.execute(text(_POSTGRESQL_FUNCTION))
    for table in tables:
        _refuse(connection, table, rule_name(table), "UPDATE")


def forbid_deletes(connection: Connection, tables: Iterable[str]) -> None:
    """Make the database refuse every DELETE of these tables as well; after `forbid_updates`."""
    for table in tables:
        _refuse(connection, table, f"{rule_name(table)}_kept", "DELETE")


def forbid_all_but_removal(connection: Connection, table: str, column: str) -> None:
    """Refuse every UPDATE of a table, but for one that puts `REMOVED` into this column and does no more."""
    names = (found["name"] for found in inspect(connection).get_columns(table))
    others = ", ".join(f'"{name}"' for name in names if name != column)
    _refuse(connection, table, rule_name(table), f"UPDATE OF {others}")
    when = f"WHEN (NEW.{column} <> '{REMOVED}')"
    _refuse(connection, table, f"{rule_name(table)}_{column}", f"UPDATE OF {column}", when)


def forbid_removal(connection: Connection, table: str, column: str) -> None:
    """Refuse every UPDATE again."""
    _drop(connection, table, f"{rule_name(table)}_{column}")
    _drop(connection, table, rule_name(table))
    _refuse(connection, table, rule_name(table), "UPDATE")


def lift(connection: Connection, table: str) -> None:
    """Take the rule away from one table, to put another in its place."""
    _drop(connection, table, rule_name(table))


def permit_updates(connection: Connection, tables: Iterable[str]) -> None:
    """Take the rule away again."""
    for table in tables:
        _drop(connection, table, rule_name(table))
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"DROP FUNCTION {FUNCTION}()"))


def _refuse(connection: Connection, table: str, trigger: str, event: str, when: str = "") -> None:
    name = rule_name(table)
    if connection.dialect.name == "postgresql":
        action = f"FOR EACH ROW {when} EXECUTE FUNCTION {FUNCTION}('{name}')"
    else:
        action = f"{when} BEGIN SELECT RAISE(ABORT, 'CHECK constraint failed: {name}'); END"
    connection.execute(text(f"CREATE TRIGGER {trigger} BEFORE {event} ON {table} {action}"))


def _drop(connection: Connection, table: str, trigger: str) -> None:
    on_table = f" ON {table}" if connection.dialect.name == "postgresql" else ""
    connection.execute(text(f"DROP TRIGGER {trigger}{on_table}"))


_POSTGRESQL_FUNCTION = f"""
CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'CHECK constraint failed: %', TG_ARGV[0]
        USING ERRCODE = 'check_violation', CONSTRAINT = TG_ARGV[0], TABLE = TG_TABLE_NAME;
END
$$
"""
