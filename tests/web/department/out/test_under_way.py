"""An export while it is sent: how far it is, who may end it, and that it stands in nobody's way."""

from __future__ import annotations

import io
import itertools
import json
import socket
import threading
import time
import zipfile
from collections.abc import Iterator
from typing import Any

import pytest
import waitress
from flask import Flask

from app.practicals.out import whole as wholes
from app.records.engine import Database
from app.records.models import Practical
from app.records.whole import WholePractical, whole_practicals
from app.web.department.out import export, under_way
from app.web.department.out.under_way import MOST_AT_ONCE, Exports, ExportStopped, Progress
from tests.practicals.a_class import AClass, a_teacher
from tests.web.department.out.exporting import ADDRESS, TOKEN, another_class, table, taken
from tests.web.desk.conftest import Reader


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The practicals whose rows were read; one in each transaction."""
    ids: list[int] = []
    whole = whole_practicals

    def counted(session: Any, practical_ids: list[int], **options: bool) -> list[WholePractical]:
        ids.extend(practical_ids)
        return whole(session, practical_ids, **options)

    monkeypatch.setattr(wholes, "A_BATCH", 1)
    monkeypatch.setattr(wholes, "whole_practicals", counted)
    return ids


def test_a_download_that_is_closed_ends_the_work(
    reader: Reader, full: AClass, read: list[int], no_other_exports: Exports
) -> None:
    answer = reader.client.get(f"{ADDRESS}?part=documents&token={TOKEN}", buffered=False)
    first = next(answer.iter_encoded())
    assert first.startswith(b"PK")
    progress = json.loads(reader.get(f"/department/export/{TOKEN}").data)
    assert progress == {"progress": "running", "done": 0, "total": 2}
    # Nobody waits for the download: no transaction is open while it is taken.
    another_class(full.database, full.teacher, "meanwhile")
    answer.close()
    assert len(read) == 1
    found = no_other_exports.of(TOKEN, full.teacher.teacher_id)
    assert found is not None
    assert found.progress is Progress.STOPPED


def test_an_export_is_ended_by_its_own_teacher_alone(
    reader: Reader, full: AClass, application: Flask, read: list[int], sqlite_database: Database
) -> None:
    answer = reader.client.get(f"{ADDRESS}?part=documents&token={TOKEN}", buffered=False)
    pieces = answer.iter_encoded()
    next(pieces)
    colleague = Reader(application.test_client()).let_in(a_teacher(sqlite_database, "other").login)
    assert colleague.post(f"/department/export/{TOKEN}/stop").status_code == 404
    assert colleague.get(f"/department/export/{TOKEN}").status_code == 404
    assert reader.post(f"/department/export/{TOKEN}/stop").status_code == 200
    with pytest.raises(ExportStopped):
        list(pieces)
    answer.close()
    assert json.loads(reader.get(f"/department/export/{TOKEN}").data)["progress"] == "stopped"


def test_a_download_that_was_whole_is_said_to_be(reader: Reader) -> None:
    taken(reader, f"?part=tables&token={TOKEN}")
    progress = json.loads(reader.get(f"/department/export/{TOKEN}").data)
    assert progress == {"progress": "done", "done": 2, "total": 2}


def test_no_more_exports_than_leave_threads_for_the_phones(reader: Reader) -> None:
    held = [reader.client.get(f"{ADDRESS}?part=tables", buffered=False) for _ in range(MOST_AT_ONCE)]
    refused = reader.get(f"{ADDRESS}?part=tables")
    assert refused.status_code == 409
    assert "Other exports are being made." in refused.get_data(as_text=True)
    for answer in held:
        answer.close()
    taken(reader, "?part=tables")


def test_an_export_that_fails_before_its_first_byte_takes_nobody_s_place(
    reader: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as failing:
        failing.setattr(export, "note_download", lambda *_, **__: 1 / 0)
        assert reader.client.get(f"{ADDRESS}?part=tables&token={TOKEN}").status_code == 500
    assert json.loads(reader.get(f"/department/export/{TOKEN}").data)["progress"] == "stopped"


def test_all_files_say_the_same_of_a_practical_that_changes_meanwhile(
    reader: Reader, full: AClass, read: list[int]
) -> None:
    """The class is changed after its document went out, and before its rows in the tables do."""
    answer = reader.client.get(
        f"{ADDRESS}?part=documents&part=tables&practical={full.practical_id}", buffered=False
    )
    pieces = answer.iter_encoded()
    data = next(pieces)
    plan = full.practical.plan
    with full.database.writing() as session:
        session.get_one(Practical, full.practical_id).title = f"{plan.title}, changed"
    data += b"".join(pieces)
    answer.close()
    package = zipfile.ZipFile(io.BytesIO(data))
    (name,) = [name for name in package.namelist() if name.startswith("practicals/")]
    assert json.loads(package.read(name))["practical"]["title"] == plan.title
    assert {run["title"] for run in table(package, "runs")} == {f"'{plan.title}"}


@pytest.fixture
def served(application: Flask) -> Iterator[int]:
    """The port of the production server's kind, in a thread."""
    server = waitress.create_server(application, host="127.0.0.1", port=0, threads=2, ident=None)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield server.effective_port
    server.close()
    thread.join(timeout=10)


def test_a_browser_that_hangs_up_ends_the_work(
    reader: Reader, full: AClass, served: int, monkeypatch: pytest.MonkeyPatch, no_other_exports: Exports
) -> None:
    """An export without end over a real connection, which is closed in the middle."""
    (whole, *_) = wholes.read_one_by_one(full.database, [full.practical_id], for_tables=False)
    monkeypatch.setattr(export, "read_one_by_one", lambda *_args, **_more: itertools.repeat(whole))
    cookie = reader.client.get_cookie("plumbfall-teacher")
    assert cookie is not None
    with socket.create_connection(("127.0.0.1", served), timeout=20) as browser:
        lines = (
            f"GET {ADDRESS}?part=documents&token={TOKEN} HTTP/1.1",
            "Host: x",
            f"Cookie: {cookie.key}={cookie.value}",
        )
        browser.sendall("\r\n".join([*lines, "", ""]).encode())
        head = browser.recv(200)
        assert b"200 OK" in head
    found, until = no_other_exports.of(TOKEN, full.teacher.teacher_id), time.monotonic() + 60
    assert found is not None
    while found.progress is Progress.RUNNING and time.monotonic() < until:
        time.sleep(0.05)
    assert found.progress is Progress.STOPPED


def test_a_token_that_is_sent_again_begins_no_export_beside_the_first() -> None:
    exports = Exports()
    first = exports.begin(TOKEN, 1, 3)
    with pytest.raises(under_way.TooManyExports):
        exports.begin(TOKEN, 1, 3)
    first.end()
    assert exports.begin(TOKEN, 1, 3) is exports.of(TOKEN, 1)


def test_a_made_up_token_names_no_export() -> None:
    exports = Exports()
    for token in ("", "short", "with spaces and ../dots"):
        exports.begin(token, 1, 3).end()
        assert exports.of(token, 1) is None
    assert under_way.EXPORTS.of(TOKEN, 1) is None
