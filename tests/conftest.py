"""The two databases that every test of the records runs on, and what every test needs to be quick."""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher
from sqlalchemy import URL, Engine, create_engine, insert, make_url, text

from app.practicals.people import passwords, pauses
from app.records import engine
from app.records.base import Base
from app.records.engine import Database
from app.records.migrate import open_database
from app.records.models import AccessMark
from app.web.department.out import export
from app.web.department.out.under_way import Exports
from tests.profiles import load_profile

pytest_plugins = ["tests.missing_browser"]

load_profile()


@pytest.hookimpl(tryfirst=True)
def pytest_collection() -> None:
    """Thousands of tests and the libraries that they bring stay to the end of the run.

    Python's collector of garbage would go through all of them again and again.
    """
    gc.disable()


def pytest_collection_finish() -> None:
    """From here on the collector looks only at what the tests themselves leave behind."""
    gc.freeze()
    gc.enable()


# The databases of tests are real files, and each commit waits for them; on a disk that outlasts the work.
# Where memory serves as a file system, pytest's folders go there, unless PYTEST_DEBUG_TEMPROOT names another.
MEMORY, ENOUGH_BYTES = Path("/dev/shm"), 2 * 1024**3
if MEMORY.is_dir() and shutil.disk_usage(MEMORY).free > ENOUGH_BYTES:
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))

HASHING_IN_EARNEST = passwords.HASHER

ADDRESS = "PLUMBFALL_TEST_DATABASE_URL"


def postgresql_address() -> str:
    """The server's address, or a skip; where a whole run is expected (CI), a failure."""
    address = os.environ.get(ADDRESS)
    if address:
        return address
    reason = f"{ADDRESS} names no PostgreSQL server, so nothing was tested on PostgreSQL"
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)


@contextmanager
def database_of_its_own(suffix: str, *, durable: bool = False) -> Iterator[str]:
    """The address of a new PostgreSQL database without a table, dropped when the block ends.

    A durable one waits for the disk at each commit, as PostgreSQL does by itself.
    """
    url = make_url(postgresql_address()).set(drivername="postgresql+psycopg")
    name = f"{url.database}_{os.getpid()}_{suffix}"
    server = create_engine(url, isolation_level="AUTOCOMMIT")
    with server.connect() as connection:
        connection.execute(text(f'CREATE DATABASE "{name}"'))
        if not durable:  # only a crash of PostgreSQL's machine, which no test brings about, could tell
            connection.execute(text(f'ALTER DATABASE "{name}" SET synchronous_commit TO off'))
    try:
        yield url.set(database=name).render_as_string(hide_password=False)
    finally:
        with server.connect() as connection:
            connection.execute(text(f'DROP DATABASE "{name}" WITH (FORCE)'))
        server.dispose()


@pytest.fixture(scope="session")
def _postgresql_database(worker_id: str) -> Iterator[Database]:
    """One database per worker process for the whole session, made by the migrations."""
    with database_of_its_own(worker_id) as address:
        database = open_database(address)
        yield database
        database.close()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated SQLite file, copied for each test instead of migrating again."""
    path = tmp_path_factory.mktemp("template") / "empty.db"
    open_database(f"sqlite:///{path}").close()
    return path


@pytest.fixture
def sqlite_database(sqlite_template: Path, tmp_path: Path) -> Iterator[Database]:
    """A fresh SQLite database in a file."""
    path = tmp_path / "plumbfall.db"
    path.write_bytes(sqlite_template.read_bytes())
    database = Database(f"sqlite:///{path}")
    yield database
    database.close()


# A few rows are deleted far faster than by TRUNCATE, which makes new files for every table and index; but the
# log refuses every DELETE.
EMPTY_AGAIN = ";".join(
    "TRUNCATE log_entry" if table.name == "log_entry" else str(table.delete())
    for table in reversed(Base.metadata.sorted_tables)
)


@pytest.fixture
def postgresql_database(request: pytest.FixtureRequest) -> Iterator[Database]:
    """A PostgreSQL database as the migrations make it."""
    postgresql_address()
    database: Database = request.getfixturevalue("_postgresql_database")
    yield database
    with database.engine.begin() as connection:
        connection.exec_driver_sql(EMPTY_AGAIN)
        connection.execute(insert(AccessMark).values(id=1, number=0))  # the one row that a migration made


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest) -> Database:
    """The same test on both databases."""
    chosen: Database = request.getfixturevalue(f"{request.param}_database")
    return chosen


@pytest.fixture(scope="session")
def worker_id(request: pytest.FixtureRequest) -> str:
    """The name of this worker process, also where tests are not spread over several."""
    return getattr(request.config, "workerinput", {}).get("workerid", "alone")


@pytest.fixture(scope="session", autouse=True)
def _hashing_costs_nothing() -> Iterator[None]:
    """The passwords of tests are no secrets, and most tests have a teacher: the same hash at its least cost.

    A server in a process of its own hashes in earnest, and reads these hashes, which carry their cost.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
        yield


@pytest.fixture(scope="session", autouse=True)
def _statements_are_compiled_once() -> Iterator[None]:
    """Most tests have an engine of their own, and SQLAlchemy keeps compiled SQL by engine and dialect.

    All SQLite engines of a worker share both. PostgreSQL has one database, and so one engine, as it is.
    """
    first = create_engine("sqlite://")
    first.connect().close()  # a dialect is ready once it has seen a connection
    compiled: dict[Any, Any] = {}

    def make(url: URL, **options: Any) -> Engine:
        made = create_engine(url, **options)
        if made.dialect.name == first.dialect.name:
            made.dialect = first.dialect
            made.update_execution_options(compiled_cache=compiled)
        return made

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "create_engine", make)
        yield
    first.dispose()


@pytest.fixture
def hashing_in_earnest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passwords hashed at the product's own cost."""
    monkeypatch.setattr(passwords, "HASHER", HASHING_IN_EARNEST)


@pytest.fixture(autouse=True)
def _no_wrong_password_is_remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    """What one test typed wrongly does not slow the next one down."""
    monkeypatch.setattr(pauses, "WRONG_PASSWORDS", pauses.WrongPasswords())


@pytest.fixture(autouse=True)
def no_other_exports(monkeypatch: pytest.MonkeyPatch) -> Exports:
    """An export that one test began and did not read takes no place from the next one."""
    fresh = Exports()
    monkeypatch.setattr(export, "EXPORTS", fresh)
    return fresh
