"""Bring the tables up to date with Alembic, from a checkout or an installed package.

Alembic is loaded where tables change: a server that finds them as it needs them starts without it.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import text
from sqlalchemy.engine import Connection
from sqlalchemy.exc import SQLAlchemyError

from app.private import make_private_folder, open_private
from app.records.backup import BackupProblem, back_up
from app.records.constraints import explained
from app.records.engine import Database, make_engine
from app.records.errors import StorageProblem
from app.records.revisions import (
    TablesNotAsExpected,
    current_revision_of_tables,
    is_known,
    newest_revision,
)
from app.records.running import CannotBeLocked, kept_alone
from app.records.whole_file import free_name, stamp
from app.resources import migrations_dir
from app.words import N_

if TYPE_CHECKING:
    from alembic.config import Config

LOG = logging.getLogger("plumbfall")
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


class ToBeUpgraded(StorageProblem):
    """PostgreSQL's records are of an earlier version; only who looks after them can make a backup."""

    sentence = N_(
        "These records are of an earlier version (their tables are at %(found)s, this program needs"
        " %(wanted)s), and nothing was changed. Back them up with pg_dump, then run:"
        " plumbfall upgrade --backed-up"
    )


class NotCopied(StorageProblem):
    """SQLite's records are of an earlier version and cannot be copied."""

    sentence = N_(
        "These records are of an earlier version (their tables are at %(found)s) and are copied before they"
        " are brought up to date. That failed, so nothing was changed. %(why)s"
    )


def _config(connection: Connection) -> Config:
    from alembic.config import Config  # noqa: PLC0415 - see above

    config = Config()
    config.set_main_option("script_location", str(migrations_dir()).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def upgrade(database: Database, revision: str = "head") -> None:
    """Bring the tables to `revision` in one transaction; a failure leaves them as they were."""
    from alembic import command  # noqa: PLC0415 - see above

    _migrate(database, lambda config: command.upgrade(config, revision))


def make_tables(connection: Connection) -> None:
    """All tables as they are now, in an empty database and in the caller's transaction."""
    from alembic import command  # noqa: PLC0415 - see above

    command.upgrade(_config(connection), "head")


def downgrade(database: Database, revision: str) -> None:
    """Take the tables back to `revision` ("base" removes them) in one transaction."""
    from alembic import command  # noqa: PLC0415 - see above

    _migrate(database, lambda config: command.downgrade(config, revision))


def _migrate(database: Database, run: Callable[[Config], None]) -> None:
    from alembic.util import CommandError  # noqa: PLC0415 - see above

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
        make_private_folder(path.parent)
        os.close(open_private(path, os.O_CREAT | os.O_RDWR))
    except OSError as error:
        raise RecordsCannotBeMade(file=path, why=error.strerror or str(error)) from error


def open_database(
    address: str,
    last_known: Path | None = None,
    *,
    make: bool = True,
    backed_up: bool = False,
    told: Callable[[str], object] = LOG.warning,
) -> Database:
    """The database at this address with its tables up to date; a SQLite file is made only if `make`.

    Records of an earlier version are copied first, and `told` says where; those in PostgreSQL only their
    owner can back up, and says so with `backed_up`.
    """
    database = Database(address, last_known)
    with ExitStack() as failing:
        failing.callback(database.close)
        _bring_up_to_date(database, make=make, backed_up=backed_up, told=told)
        failing.pop_all()
    return database


def _bring_up_to_date(
    database: Database, *, make: bool, backed_up: bool, told: Callable[[str], object]
) -> None:
    if database.path is not None and not database.path.exists():
        if not make:
            raise NoRecords(file=database.path.absolute())
        upgrade(database)
        return
    found = current_revision_of_tables(database)
    if found == newest_revision():
        return
    if found is None or not is_known(found):
        upgrade(database)  # which refuses those of a newer version
    elif database.path is not None:
        _upgrade_with_a_copy(database, database.path, told)
    elif backed_up:
        upgrade(database)
    else:
        raise ToBeUpgraded(found=found, wanted=newest_revision())


def _upgrade_with_a_copy(database: Database, path: Path, told: Callable[[str], object]) -> None:
    """No server of the earlier version may go on with tables that change under it."""
    with ExitStack() as alone:
        try:
            alone.enter_context(kept_alone(database))
        except CannotBeLocked as problem:
            LOG.warning("%s", problem)  # where nothing can be locked, the server starts without a lock too
        found = current_revision_of_tables(database)
        if found == newest_revision():
            return  # another command did it before this one had the records alone
        name = f"{path.stem}-before-upgrade-from-{found}-{stamp(datetime.now(UTC))}.db"
        try:
            copy = back_up(database, free_name(path.with_name(name))).path
        except BackupProblem as problem:
            raise NotCopied(found=found, why=problem) from problem
        told(f"These records were of an earlier version ({found}); as such they are kept in {copy}.")
        upgrade(database)
