"""Whatever watches over a server learns whether it is alive and can work, and no more."""

from __future__ import annotations

import io
import re

import pytest
from flask import Flask
from sqlalchemy import text

from app.records.engine import Database
from app.server_log import logging_to
from tests.web.desk.conftest import application  # noqa: F401 - the fixture


def answer(app: Flask, address: str) -> tuple[int, str]:
    got = app.test_client().get(address)
    assert "Set-Cookie" not in got.headers
    assert got.headers["Cache-Control"] == "no-store"
    return got.status_code, got.get_data(as_text=True)


@pytest.mark.parametrize(
    ("revision", "status"),
    [("0010", 503), ("9999", 200)],  # a later version's tables: migrations add
)
def test_a_server_is_ready_with_tables_that_it_can_work_with(
    application: Flask,  # noqa: F811 - the fixture
    sqlite_database: Database,
    revision: str,
    status: int,
) -> None:
    assert answer(application, "/health") == (200, "alive\n")
    assert answer(application, "/ready") == (200, "ready\n")
    with sqlite_database.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = :found"), {"found": revision})
    assert answer(application, "/ready") == (status, "ready\n" if status == 200 else "not ready\n")
    assert answer(application, "/health") == (200, "alive\n")


def test_a_damaged_file_and_one_that_is_gone_leave_a_line_and_no_details(
    application: Flask,  # noqa: F811
    sqlite_database: Database,
) -> None:
    stream, path = io.StringIO(), sqlite_database.path
    assert path is not None
    with logging_to(stream):
        path.write_bytes(b"no database any more" * 500)
        assert answer(application, "/ready") == (503, "not ready\n")
        application.extensions["plumbfall_database"].close()
        path.unlink()
        path.mkdir()  # where nothing can be opened or made
        assert answer(application, "/ready") == (503, "not ready\n")
    kinds = re.findall(r" storage kind=(\w+) ", stream.getvalue())
    assert kinds == ["DatabaseDamaged", "FileNotOpened"]
