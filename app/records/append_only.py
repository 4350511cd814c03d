"""Tables whose rows are written once: the database itself refuses to change them.

Alembic's batch operations on SQLite recreate a table without its triggers: a migration that alters one of
these tables calls `forbid_updates` again.
"""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import text
from sqlalchemy.engine import Connection

FUNCTION = "refuse_to_change_what_was_written"


def rule_name(table: str) -> str:
    """The name under which a refused change is reported, as if it were a constraint of the table."""
    return f"ck_{table}_written_once"


def forbid_updates(connection: Connection, tables: Iterable[str]) -> None:
    """Make the database refuse every UPDATE of these tables."""
    postgresql = connection.dialect.name == "postgresql"
    if postgresql:
        connection.execute(text(_POSTGRESQL_FUNCTION))
    for table in tables:
        name = rule_name(table)
        if postgresql:
            statement = (
                f"CREATE TRIGGER {name} BEFORE UPDATE ON {table}"
                f" FOR EACH ROW EXECUTE FUNCTION {FUNCTION}('{name}')"
            )
        else:
            statement = (
                f"CREATE TRIGGER {name} BEFORE UPDATE ON {table}"
                f" BEGIN SELECT RAISE(ABORT, 'CHECK constraint failed: {name}'); END"
            )
        connection.execute(text(statement))


def permit_updates(connection: Connection, tables: Iterable[str]) -> None:
    """Take the rule away again."""
    postgresql = connection.dialect.name == "postgresql"
    for table in tables:
        on_table = f" ON {table}" if postgresql else ""
        connection.execute(text(f"DROP TRIGGER {rule_name(table)}{on_table}"))
    if postgresql:
        connection.execute(text(f"DROP FUNCTION {FUNCTION}()"))


_POSTGRESQL_FUNCTION = f"""
CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'CHECK constraint failed: %', TG_ARGV[0]
        USING ERRCODE = 'check_violation', CONSTRAINT = TG_ARGV[0], TABLE = TG_TABLE_NAME;
END
$$
"""
