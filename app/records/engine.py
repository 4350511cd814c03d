"""The way to the records: one short transaction at a time, for reading or for writing.

SQLite is asked to have everything on the disk before it says so, with rules enforced. SQLite 3.7.0 to 3.51.2
can lose committed pages when a write-ahead log is reset at the wrong moment (fixed in 3.51.3, 3.50.7 and
3.44.6; https://sqlite.org/wal.html, "WAL-reset bug"), so an affected library keeps a rollback journal.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event, make_url
from sqlalchemy.engine import URL, Connection
from sqlalchemy.exc import ArgumentError, SQLAlchemyError
from sqlalchemy.orm import Session
from sqlalchemy.pool import NullPool

from app.records.constraints import explained
from app.records.errors import DatabaseBusy, StorageProblem
from app.words import N_, Message

BUSY_TIMEOUT_MS = 5000
WAIT_SECONDS = BUSY_TIMEOUT_MS / 1000
POOL_SIZE = 16
POOL_OVERFLOW = 16


class DatabaseAddressProblem(StorageProblem):
    """The configured address names no database that this program can keep records in."""


def read_address(address: str) -> URL:
    """The address as SQLAlchemy wants it: SQLite in a file, or PostgreSQL through psycopg."""
    try:
        url = make_url(address)
    except ArgumentError:
        raise DatabaseAddressProblem(
            Message(
                N_(
                    "The database address cannot be read."
                    " Write sqlite:///folder/file.db or postgresql://user@host/name."
                )
            )
        ) from None
    if url.drivername in ("sqlite", "sqlite+pysqlite"):
        if not url.database or url.database == ":memory:" or url.database.startswith("file:"):
            raise DatabaseAddressProblem(
                Message(N_("SQLite needs a file to keep records in. Write sqlite:///folder/file.db."))
            )
        return url.set(drivername="sqlite+pysqlite")
    if url.drivername in ("postgres", "postgresql", "postgresql+psycopg"):
        return url.set(drivername="postgresql+psycopg")
    raise DatabaseAddressProblem(
        Message(
            N_("Records are kept in SQLite or PostgreSQL, not in %(kind)s. Change the database address."),
            {"kind": url.drivername},
        )
    )


def make_engine(url: URL, *, foreign_keys: bool = True, pooled: bool = True) -> Engine:
    """An engine whose SQLite transactions begin when and how this program says."""
    options: dict[str, Any] = (
        {"pool_size": POOL_SIZE, "max_overflow": POOL_OVERFLOW, "pool_timeout": WAIT_SECONDS}
        if pooled
        else {"poolclass": NullPool}
    )
    options["hide_parameters"] = True  # a failure that is logged names the statement, never what was in it
    if url.get_backend_name() == "postgresql":
        limits = f"-c lock_timeout={BUSY_TIMEOUT_MS} -c TimeZone=UTC"
        connect = {"options": limits, "connect_timeout": 5}
        return create_engine(url, pool_pre_ping=pooled, connect_args=connect, **options)
    engine = create_engine(url, connect_args={"timeout": WAIT_SECONDS}, **options)

    @event.listens_for(engine, "connect")
    def _prepare(dbapi_connection: Any, _record: Any) -> None:
        _prepare_connection(dbapi_connection, foreign_keys=foreign_keys)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        how = connection.get_execution_options().get("sqlite_begin", "DEFERRED")
        connection.exec_driver_sql(f"BEGIN {how}")

    return engine


def wal_is_safe(version: tuple[int, int, int]) -> bool:
    """Whether this SQLite library resets a write-ahead log without losing committed pages."""
    if version >= (3, 51, 3):
        return True
    if version[:2] == (3, 50):
        return version >= (3, 50, 7)
    if version[:2] == (3, 44):
        return version >= (3, 44, 6)
    return version < (3, 7, 0)  # before write-ahead logs: a rollback journal is all there is


def journal_mode(version: tuple[int, int, int]) -> str:
    """The journal mode for this library: `wal` where that is safe, else `delete` (a rollback journal)."""
    return "wal" if version >= (3, 7, 0) and wal_is_safe(version) else "delete"


def _prepare_connection(connection: sqlite3.Connection, *, foreign_keys: bool) -> None:
    """Set one new connection up; SQLAlchemy's `begin` event then says when a transaction starts."""
    connection.isolation_level = None  # the driver opens no transaction of its own
    # SQLite's own knows the letters A to Z alone; PostgreSQL's knows all.
    connection.create_function("lower", 1, _lower, deterministic=True)
    cursor = connection.cursor()
    try:
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
        wanted = journal_mode(sqlite3.sqlite_version_info[:3])
        current = cursor.execute("PRAGMA journal_mode").fetchone()[0].lower()
        if current != wanted:
            cursor.execute(f"PRAGMA journal_mode = {wanted}").fetchone()
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA secure_delete = ON").fetchone()  # what is deleted is overwritten too
        cursor.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")
    finally:
        cursor.close()


def _lower(text: str | None) -> str | None:
    return None if text is None else text.lower()


class Database:
    """Where records are kept. One per process, made by the factory and passed to every use case."""

    def __init__(self, address: str, last_known: Path | None = None) -> None:
        """`last_known` is the file by which this server can tell that the records went back to a backup."""
        self.url = read_address(address)
        self.last_known = last_known
        self.is_sqlite = self.url.get_backend_name() == "sqlite"
        self.engine = make_engine(self.url)
        if self.is_sqlite:
            self._reader: Engine = self.engine
            self._writer: Engine = self.engine.execution_options(sqlite_begin="IMMEDIATE")
        else:
            self._reader = self.engine.execution_options(
                isolation_level="REPEATABLE READ", postgresql_readonly=True
            )
            self._writer = self.engine
        self._turn = threading.Lock()

    @property
    def path(self) -> Path | None:
        """The SQLite file, or None on PostgreSQL."""
        return Path(str(self.url.database)) if self.is_sqlite else None

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one moment of the records and changes nothing."""
        with _spoken_errors(), Session(self._reader, expire_on_commit=False) as session:
            yield session  # closing it gives the transaction up

    @contextmanager
    def looking(self) -> Iterator[Connection]:
        """A connection that sees what `reading` sees, for the light questions that waiting pages repeat.

        It gives columns, not objects. With a statement that is made once (`bindparam`) such a question costs
        a quarter of what it costs a session.
        """
        with _spoken_errors(), self._reader.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session whose changes are all on the disk when the block ends, or none of them.

        Do nothing slow inside: no hashing, no drawing, no analysis. On SQLite the threads of one process
        take turns here instead of asking the file again and again.
        """
        with (
            _spoken_errors(),
            self._in_turn() if self.is_sqlite else nullcontext(),
            Session(self._writer, expire_on_commit=False) as session,
            session.begin(),
        ):
            yield session
            session.flush()

    @contextmanager
    def _in_turn(self) -> Iterator[None]:
        if not self._turn.acquire(timeout=WAIT_SECONDS):
            raise DatabaseBusy()
        try:
            yield
        finally:
            self._turn.release()

    def close(self) -> None:
        """Give every connection back to the system."""
        self.engine.dispose()


@contextmanager
def _spoken_errors() -> Iterator[None]:
    try:
        yield
    except SQLAlchemyError as error:
        problem = explained(error)
        if problem is None:
            raise
        raise problem from error
