"""Everything from one database into another, empty one: SQLite to PostgreSQL, back, or to another place.

The source is opened for reading alone. The target is made by the migrations, filled and held against the
source before anything of it can be seen: in one transaction on PostgreSQL, in a file without its name yet on
SQLite. Whatever interrupts this leaves the target as empty as it was.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Engine, Table, create_engine, event, func, inspect, select, text
from sqlalchemy.engine import URL, Connection
from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.pool import NullPool

from app.private import make_private_folder
from app.records import models  # noqa: F401 - the tables register themselves
from app.records.base import Base
from app.records.constraints import explained
from app.records.engine import Database
from app.records.errors import StorageProblem
from app.records.migrate import make_tables
from app.records.revisions import newest_revision
from app.records.running import kept_alone
from app.records.table_rows import Summed, Summing, batches, highest_ids, set_highest_ids, store, summed
from app.records.whole_file import begin_private, force_folder_to_disk, force_to_disk, remove
from app.words import N_


class MoveRefused(StorageProblem):
    """Found before anything was written."""


class TargetNotEmpty(MoveRefused):
    """Something is there already, ours or not."""

    sentence = N_(
        "%(target)s is not empty (%(what)s), and nothing was changed. Name an empty database, or a file that"
        " is not there yet."
    )


class NothingToMove(MoveRefused):
    """The source has no records."""

    sentence = N_("There are no records in %(source)s, so nothing was moved.")


class OtherVersion(MoveRefused):
    """The tables are not those of this program."""

    sentence = N_(
        "These records are of another version (%(found)s, this program's is %(wanted)s), and nothing was"
        " changed. Bring them up to date first: plumbfall upgrade."
    )


class OthersTables(MoveRefused):
    """Somebody put more into the database, which would be left behind without a word."""

    sentence = N_(
        "There are tables in these records that are not Plumbfall's (%(tables)s), and nothing was changed."
        " Take them elsewhere first."
    )


class MoveFailed(StorageProblem):
    """The copying failed half-way, and was undone."""

    sentence = N_(
        "The records could not be moved: %(why)s. The target is as empty as it was, and these records are as"
        " they were."
    )


class NotTheSame(StorageProblem):
    """The rows that arrived are not those that were sent."""

    sentence = N_(
        "What arrived in the table %(table)s is not what was sent, so the move was undone. The target is as"
        " empty as it was, and these records are as they were."
    )


@dataclass(frozen=True)
class MovedTable:
    """A table that is the same on both sides."""

    name: str
    summed: Summed


Told = Callable[[MovedTable], object]


def move(source: Database, target: Database, told: Told) -> list[MovedTable]:
    """Copy everything, hold both sides against each other, and only then let the target be seen."""
    if source.path is not None and not source.path.exists():
        raise NothingToMove(source=source.path.absolute())
    if target.path is not None and target.path.exists():
        raise TargetNotEmpty(target=target.path.absolute(), what=N_("the file is there"))
    with kept_alone(source), _spoken(), _reading(source) as read:
        _require_ours(read)
        if target.path is not None:
            return _into_file(read, target.path, told)
        with kept_alone(target), _writing(target.url) as write:
            return _copied(read, write, target, told)


def _copied(read: Connection, write: Connection, target: Database, told: Told) -> list[MovedTable]:
    if names := inspect(write).get_table_names():
        what = f"tables: {len(names)}"
        raise TargetNotEmpty(target=target.url.render_as_string(hide_password=True), what=what)
    make_tables(write)
    tables = Base.metadata.sorted_tables
    for table in reversed(tables):  # what a migration put there
        if write.scalar(select(func.count()).select_from(table)):
            write.execute(table.delete())
    moved = []
    for table in tables:
        sent = _copy_table(read, write, table)
        if summed(write, table) != sent:
            raise NotTheSame(table=table.name)
        moved.append(MovedTable(table.name, sent))
        told(moved[-1])
    set_highest_ids(write, tables, highest_ids(read, tables))
    if write.dialect.name == "sqlite" and (broken := write.execute(text("PRAGMA foreign_key_check")).first()):
        raise NotTheSame(table=broken[0])
    return moved


def _copy_table(read: Connection, write: Connection, table: Table) -> Summed:
    sent = Summing()
    for rows in batches(read, table):
        sent.add(rows)
        store(write, table, rows)
    return sent.summed()


def _into_file(read: Connection, file: Path, told: Told) -> list[MovedTable]:
    half_made = file.with_name(f".{file.name}.moving")
    try:
        make_private_folder(file.parent)
        begin_private(half_made)
        half = Database(f"sqlite:///{half_made}")
        with _writing(half.url) as write:
            moved = _copied(read, write, half, told)
        force_to_disk(half_made)
        if file.exists():  # made meanwhile
            raise TargetNotEmpty(target=file.absolute(), what=N_("the file is there"))
        half_made.replace(file)
        force_folder_to_disk(file.parent)
    except OSError as error:
        raise MoveFailed(why=error.strerror or str(error)) from error
    finally:
        remove(half_made)
    return moved


def _require_ours(read: Connection) -> None:
    found, wanted = MigrationContext.configure(read).get_current_revision(), newest_revision()
    if found != wanted:
        raise OtherVersion(found=found, wanted=wanted)
    unknown = set(inspect(read).get_table_names()) - set(Base.metadata.tables) - {"alembic_version"}
    if unknown:
        raise OthersTables(tables=", ".join(sorted(unknown)))


@contextmanager
def _reading(source: Database) -> Iterator[Connection]:
    """One moment of the source, which cannot be written this way."""
    engine = _engine(source.url, creator=_read_only(source.path) if source.path else None)
    try:
        with engine.connect() as connection:
            if source.path is None:
                connection.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY"))
            yield connection
    finally:
        engine.dispose()


@contextmanager
def _writing(url: URL) -> Iterator[Connection]:
    """One transaction of the target."""
    engine = _engine(url)
    try:
        with engine.begin() as connection:
            yield connection
    finally:
        engine.dispose()


def _read_only(path: Path) -> Callable[[], sqlite3.Connection]:
    return lambda: sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)


def _engine(url: URL, creator: Callable[[], sqlite3.Connection] | None = None) -> Engine:
    """JSON passes as its text; SQLite's transactions begin where SQLAlchemy's do."""
    options: dict[str, Any] = {"poolclass": NullPool, "hide_parameters": True}
    options |= {"json_serializer": _as_it_is, "json_deserializer": _as_it_is}
    if url.get_backend_name() == "postgresql":
        return create_engine(
            url, connect_args={"options": "-c TimeZone=UTC", "connect_timeout": 5}, **options
        )
    if creator is not None:
        options["creator"] = creator
    engine = create_engine(url, **options)

    @event.listens_for(engine, "connect")
    def _no_transactions_of_the_driver(connection: Any, _record: Any) -> None:
        connection.isolation_level = None

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN")

    return engine


def _as_it_is(content: str | bytes) -> str:
    return content if isinstance(content, str) else bytes(content).decode()


@contextmanager
def _spoken() -> Iterator[None]:
    try:
        yield
    except (SQLAlchemyError, psycopg.Error) as error:
        raise MoveFailed(why=_why(error)) from error


def _why(error: Exception) -> str:
    """What the database said, without the row that it may quote."""
    if known := explained(error):
        return str(known).rstrip(".")
    said: object = error.orig if isinstance(error, DBAPIError) else error
    if isinstance(said, psycopg.Error) and said.diag.message_primary:
        said = said.diag.message_primary
    return " ".join(str(said).split())[:300].rstrip(".")
