"""Which state the tables are in, and which ones this program knows; nothing is changed.

Read without Alembic: it takes a good part of a server's start, and is needed only where tables are changed.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from sqlalchemy import inspect, text
from sqlalchemy.exc import SQLAlchemyError

from app.records.constraints import explained
from app.records.engine import Database
from app.records.errors import StorageProblem
from app.resources import migrations_dir
from app.words import N_

_NAME = re.compile(r'^revision = "(\w+)"$', re.MULTILINE)
_AFTER = re.compile(r'^down_revision = "(\w+)"$', re.MULTILINE)
_VERSION = text("SELECT version_num FROM alembic_version")


class TablesNotAsExpected(StorageProblem):
    """A step of the migration failed on tables that look otherwise than it expects; it was undone."""

    sentence = N_(
        "The tables in this database are not as this version expects, and nothing was changed."
        " Check that the address names Plumbfall's own database."
    )


@cache
def _known(folder: Path) -> dict[str, str | None]:
    """Every revision that there is a migration to, with the one before it."""
    found = {}
    for file in (folder / "versions").glob("*.py"):
        migration = file.read_text(encoding="utf-8")
        name, after = _NAME.search(migration), _AFTER.search(migration)
        if name is not None:
            found[name[1]] = after[1] if after else None
    return found


def newest_revision() -> str:
    """The revision that this program was written for: the one that no other comes after."""
    known = _known(migrations_dir())
    (newest,) = known.keys() - set(known.values())
    return newest


def is_known(revision: str) -> bool:
    """Whether this program has a migration of that name; a newer one's it has not."""
    return revision in _known(migrations_dir())


def tables_are_served(database: Database) -> bool:
    """Whether this program can work with the tables: its own, or a later version's, which only adds."""
    with database.looking() as connection:
        revision = connection.scalar(_VERSION)
    return revision is not None and (revision == newest_revision() or not is_known(revision))


def current_revision_of_tables(database: Database) -> str | None:
    """The revision that the database's tables are at; None if there are none."""
    try:
        with database.engine.connect() as connection:
            there = inspect(connection).has_table("alembic_version")
            revision: str | None = connection.scalar(_VERSION) if there else None
            return revision
    except SQLAlchemyError as error:
        raise explained(error) or TablesNotAsExpected() from error
