"""Whether a server runs on the records, and keeping servers away from them while a command needs them alone.

SQLite: a lock on a file beside the records. The system gives it up when the process ends, however it ends,
and keeps it across the machines of a shared folder as far as that folder knows locks. PostgreSQL: an advisory
lock of the database, which several servers share.
"""

from __future__ import annotations

import errno
import logging
import os
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine, text
from sqlalchemy.engine import Connection
from sqlalchemy.exc import SQLAlchemyError

from app.private import open_private
from app.records.constraints import explained
from app.records.engine import Database, make_engine
from app.records.errors import DatabaseUnreachable, StorageProblem
from app.words import N_

LOG = logging.getLogger("plumbfall")
ENDING = "-in-use"
"""Of the file beside SQLite's that is locked; it stays there, and says who locked it last."""
_ADVISORY_LOCK = 7_105_412  # any number of our own, beside that of the migrations
_LOCKED_BYTE = 1 << 30
"""Windows locks bytes for readers too: one far behind the words."""
_HELD = {errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES, errno.EDEADLK}


class ServerIsRunning(StorageProblem):
    """A command needs the records alone, and a server has them."""

    sentence = N_(
        "A Plumbfall server is running on these records (%(who)s), and nothing was changed."
        " Stop it, then try again."
    )


class AnotherServer(StorageProblem):
    """A second server was started on one SQLite file, or beside a command that needs the records alone."""

    sentence = N_(
        "These records are in use by another Plumbfall server or command (%(who)s). Stop that one first;"
        " several servers at once need PostgreSQL."
    )


class CannotBeLocked(StorageProblem):
    """The folder knows no locks, so nobody can tell whether a server runs."""

    sentence = N_(
        "Whether a server is running on these records cannot be told, because %(file)s cannot be locked"
        " (%(why)s). Nothing was changed."
    )


class Mark:
    """A server's mark that it runs. `renew` sets it again where the database lost it with a connection."""

    def __init__(self, engine: Engine | None = None, connection: Connection | None = None) -> None:
        self._engine, self._connection = engine, connection

    def renew(self) -> None:
        """Done from time to time; it takes one question to the database. A failure is noted."""
        if self._engine is None:
            return
        try:
            if self._connection is not None:
                self._connection.execute(text("SELECT 1"))
                return
        except SQLAlchemyError:
            self.end()
        try:
            self._connection = _advised(self._engine, shared=True)
        except SQLAlchemyError:
            self._connection = None
        if self._connection is None:
            LOG.warning("the mark that this server runs could not be set again; it is tried again")

    def end(self) -> None:
        """Take it away."""
        if self._connection is not None:
            _give_up(self._connection)
        self._connection = None


@contextmanager
def serving_from(database: Database) -> Iterator[Mark]:
    """Mark that a server runs on these records until the block ends. Raises `AnotherServer`."""
    if database.path is None:
        with _engine_of_its_own(database) as engine:
            if (connection := _asked(engine, shared=True)) is None:
                raise AnotherServer(who="plumbfall move")
            mark = Mark(engine, connection)
            try:
                yield mark
            finally:
                mark.end()
        return
    try:
        descriptor = _lock(database.path)
    except CannotBeLocked as problem:
        LOG.warning("%s; a second server would go unnoticed", problem)
        yield Mark()
        return
    if descriptor is None:
        raise AnotherServer(who=_who_locked(database.path))
    try:
        yield Mark()
    finally:
        os.close(descriptor)


@contextmanager
def kept_alone(database: Database) -> Iterator[None]:
    """No server runs on these records, and none starts, until the block ends. Raises `ServerIsRunning`."""
    if database.path is None:
        with _engine_of_its_own(database) as engine:
            if (connection := _asked(engine, shared=False)) is None:
                raise ServerIsRunning(who=_host_of(database))
            try:
                yield
            finally:
                _give_up(connection)
        return
    descriptor = _lock(database.path)
    if descriptor is None:
        raise ServerIsRunning(who=_who_locked(database.path))
    try:
        yield
    finally:
        os.close(descriptor)


def refuse_beside_a_server(database: Database) -> None:
    """Raises `ServerIsRunning` where one runs on these records; makes nothing."""
    if (who := who_is_serving(database)) is not None:
        raise ServerIsRunning(who=who)


def who_is_serving(database: Database) -> str | None:
    """For the doctor: who has the records, or None. Nothing is made."""
    if database.path is None:
        asked = text(
            "SELECT count(*) FROM pg_locks JOIN pg_database ON pg_database.oid = pg_locks.database"
            " WHERE locktype = 'advisory' AND objid = :n AND datname = current_database()"
        )
        with database.reading() as session:
            servers = session.scalar(asked, {"n": _ADVISORY_LOCK}) or 0
        return f"{servers} at {_host_of(database)}" if servers else None
    if not _lock_file(database.path).exists():
        return None
    descriptor = _lock(database.path)
    if descriptor is None:
        return _who_locked(database.path)
    os.close(descriptor)
    return None


def _lock_file(path: Path) -> Path:
    path = path.resolve()  # the same beside the file itself, by whatever name it is opened
    return path.with_name(path.name + ENDING)


def _lock(path: Path) -> int | None:
    """A descriptor whose closing gives the lock up; None where another has it. Raises `CannotBeLocked`."""
    file = _lock_file(path)
    try:
        descriptor = open_private(file, os.O_CREAT | os.O_RDWR)
    except OSError as error:
        raise CannotBeLocked(file=file, why=error.strerror or str(error)) from error
    try:
        _take(descriptor)
    except OSError as error:
        os.close(descriptor)
        if error.errno in _HELD:
            return None
        raise CannotBeLocked(file=file, why=error.strerror or str(error)) from error
    words = f"process {os.getpid()} on {socket.gethostname()}, since {datetime.now(UTC):%Y-%m-%d %H:%M} UTC\n"
    with suppress(OSError):  # a full disk: the lock holds all the same
        os.ftruncate(descriptor, 0)
        os.write(descriptor, words.encode())
    return descriptor


if sys.platform == "win32":
    import msvcrt

    def _take(descriptor: int) -> None:
        os.lseek(descriptor, _LOCKED_BYTE, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        os.lseek(descriptor, 0, os.SEEK_SET)
else:
    import fcntl

    def _take(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _who_locked(path: Path) -> str:
    try:
        return _lock_file(path).read_text(encoding="utf-8", errors="replace").strip()[:200] or "unknown"
    except OSError:
        return "unknown"


def _host_of(database: Database) -> str:
    return database.url.host or "this machine"


@contextmanager
def _engine_of_its_own(database: Database) -> Iterator[Engine]:
    engine = make_engine(database.url, pooled=False).execution_options(isolation_level="AUTOCOMMIT")
    try:
        yield engine
    finally:
        engine.dispose()


def _asked(engine: Engine, *, shared: bool) -> Connection | None:
    try:
        return _advised(engine, shared=shared)
    except SQLAlchemyError as error:
        raise explained(error) or DatabaseUnreachable() from error


def _give_up(connection: Connection) -> None:
    """At once: a closed connection lasts a moment longer on the database's side."""
    with suppress(SQLAlchemyError):
        connection.execute(text("SELECT pg_advisory_unlock_all()"))
    with suppress(SQLAlchemyError):
        connection.close()


def _advised(engine: Engine, *, shared: bool) -> Connection | None:
    """A connection that holds the lock as long as it is open; None where the lock is not to be had."""
    how = "pg_try_advisory_lock_shared" if shared else "pg_try_advisory_lock"
    connection = engine.connect()
    if connection.scalar(text(f"SELECT {how}(:n)"), {"n": _ADVISORY_LOCK}):
        return connection
    connection.close()
    return None
