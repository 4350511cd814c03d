"""Bring the tables up to date with Alembic, from a checkout or an installed package."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import text
from sqlalchemy.engine import Connection
from sqlalchemy.exc import SQLAlchemyError

from app.records.constraints import explained
from app.records.engine import Database, make_engine
from app.records.errors import StorageProblem
from app.resources import migrations_dir
from app.words import N_

_ADVISORY_LOCK = 7_105_411  # any number of our own: two servers starting together take turns


class RecordsCannotBeMade(StorageProblem):
    """SQLite's file is not there and cannot be made, or is there and may not be written."""

    sentence = N_(
        "The records in %(file)s cannot be opened or made: %(why)s."
        " Check that this user may write in that folder, or set PLUMBFALL_DATA to another one."
    )


class NoRecords(StorageProblem):
    """A command that changes records found none, and made none."""

    sentence = N_(
        "There are no records in %(file)s, and none were made."
        " Run this as the user who starts the server, or set PLUMBFALL_DATA to its folder."
    )


class MigrationBrokeLinks(StorageProblem):
    """After a migration some rows pointed at rows that are not there; it was undone."""

    sentence = N_("The tables could not be brought up to date; they were left as they were.")


class MadeByAnotherVersion(StorageProblem):
    """The tables are at a revision that this program does not know."""

    sentence = N_(
        "These records were made by a newer version of Plumbfall, and nothing was changed."
        " Start that version, or use the backup from before it."
    )


class TablesNotAsExpected(StorageProblem):
    """A step of the migration failed on tables that look otherwise than it expects; it was undone."""

    sentence = N_(
        "The tables in this database are not as this version expects, and nothing was changed."
        " Check that the address names Plumbfall's own database."
    )


def _config(connection: Connection | None = None) -> Config:
    config = Config()
    config.set_main_option("script_location", str(migrations_dir()).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def newest_revision() -> str | None:
    """The revision that this program was written for."""
    return ScriptDirectory.from_config(_config()).get_current_head()


def is_known(revision: str) -> bool:
    """Whether this program has a migration of that name; a newer one's it has not."""
    known = {script.revision for script in ScriptDirectory.from_config(_config()).walk_revisions()}
    return revision in known


def current_revision_of_tables(database: Database) -> str | None:
    """The revision that the database's tables are at; None if there are none."""
    try:
        with database.engine.connect() as connection:
            return MigrationContext.configure(connection).get_current_revision()
    except SQLAlchemyError as error:
        raise explained(error) or TablesNotAsExpected() from error


def upgrade(database: Database, revision: str = "head") -> None:
    """Bring the tables to `revision` in one transaction; a failure leaves them as they were."""
    _migrate(database, lambda config: command.upgrade(config, revision))


def make_tables(connection: Connection) -> None:
    """All tables as they are now, in an empty database and in the caller's transaction."""
    command.upgrade(_config(connection), "head")


def downgrade(database: Database, revision: str) -> None:
    """Take the tables back to `revision` ("base" removes them) in one transaction."""
    _migrate(database, lambda config: command.downgrade(config, revision))


def _migrate(database: Database, run: Callable[[Config], None]) -> None:
    if database.path is not None:
        _make_private_file(database.path)
    # Changing a table on SQLite drops and recreates it, so its links are checked at the end instead.
    engine = make_engine(database.url, foreign_keys=False, pooled=False)
    try:
        with engine.connect().execution_options(sqlite_begin="IMMEDIATE") as connection, connection.begin():
            if database.is_sqlite:
                run(_config(connection))
                if connection.execute(text("PRAGMA foreign_key_check")).first() is not None:
                    raise MigrationBrokeLinks()
            else:
                connection.execute(text("SELECT pg_advisory_xact_lock(:n)"), {"n": _ADVISORY_LOCK})
                run(_config(connection))
    except CommandError as error:
        raise MadeByAnotherVersion() from error
    except SQLAlchemyError as error:
        raise explained(error) or TablesNotAsExpected() from error
    finally:
        engine.dispose()


def _make_private_file(path: Path) -> None:
    """The file, readable by its owner only: it holds password hashes. One that is there stays as it is."""
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as error:
        raise RecordsCannotBeMade(file=str(path), why=error.strerror or str(error)) from error


def open_database(address: str, last_known: Path | None = None, *, make: bool = True) -> Database:
    """The database at this address with its tables up to date; a SQLite file is made only if `make`."""
    database = Database(address, last_known)
    if not make and database.path is not None and not database.path.exists():
        raise NoRecords(file=str(database.path.absolute()))
    upgrade(database)
    return database
