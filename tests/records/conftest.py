"""Databases without a table, for what the migrations make of them, and a folder without locks."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from app.records import running
from app.records.engine import Database
from tests.conftest import database_of_its_own


@pytest.fixture(scope="module")
def _bare_postgresql(worker_id: str) -> Iterator[str]:
    with database_of_its_own(f"bare_{worker_id}") as address:
        yield address


@pytest.fixture(params=["sqlite", "postgresql"])
def bare(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database of its own without a table."""
    if request.param == "sqlite":
        database = Database(f"sqlite:///{tmp_path / 'new folder' / 'bare.db'}")
        yield database
        database.close()
        return
    database = Database(request.getfixturevalue("_bare_postgresql"))
    yield database
    # Dropping all that is in it waits for no checkpoint, as dropping the database does.
    with database.engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    database.close()


@pytest.fixture
def without_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder whose files cannot be locked."""

    def no_locks(_descriptor: int) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(running, "_take", no_locks)
