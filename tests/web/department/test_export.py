"""Records taken away as one ZIP file: complete, checked by its sums, noted, ended by whoever closes it."""

from __future__ import annotations

import csv
import hashlib
import io
import itertools
import json
import socket
import threading
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import csvw
import jsonschema
import openpyxl
import pytest
import waitress
from flask import Flask
from sqlalchemy import select

from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import finish_practical, open_practical
from app.practicals.out import selection
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.log import log_page
from app.practicals.runs.sending import enter_run
from app.records.choices import LogKind, Role
from app.records.engine import Database
from app.records.models import Practical, Teacher
from app.records.whole import WholePractical, whole_practicals
from app.web.department import export, under_way
from app.web.department.under_way import MOST_AT_ONCE, Exports, ExportStopped, Progress
from tests.practicals.a_class import NOW, AClass, a_plan, a_teacher, an_entry, new_key
from tests.practicals.a_full_class import a_full_class
from tests.web.department.test_bring_in import send
from tests.web.desk.conftest import Reader

TOKEN = "page-of-the-test-0001"
ADDRESS = "/department/export/plumbfall.zip"


@pytest.fixture(autouse=True)
def no_other_exports(monkeypatch: pytest.MonkeyPatch) -> Exports:
    """What one test leaves is no other test's business."""
    fresh = Exports()
    monkeypatch.setattr(export, "EXPORTS", fresh)
    return fresh


@pytest.fixture
def full(sqlite_database: Database) -> AClass:
    """The teacher's full class, finished and with its result kept, and another class of the department."""
    one = a_full_class(sqlite_database)
    finish_practical(sqlite_database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    another_class(sqlite_database, one.teacher, "Period 5")
    return one


@pytest.fixture
def reader(application: Flask, full: AClass) -> Reader:
    """The teacher's browser; the result was looked at, and so kept."""
    reader = Reader(application.test_client()).sign_in(full.teacher.login)
    reader.text(f"/desk/{full.practical_id}/")
    return reader


def another_class(database: Database, teacher: TeacherIdentity, title: str) -> AClass:
    planned = plan_practical(database, actor=teacher, plan=a_plan(title=title), now=NOW)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=NOW)
    one = AClass(database, teacher, opened)
    enter_run(database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    return one


def taken(reader: Reader, query: str = "") -> zipfile.ZipFile:
    answer = reader.get(f"{ADDRESS}{query}")
    assert answer.status_code == 200
    assert answer.mimetype == "application/zip"
    return zipfile.ZipFile(io.BytesIO(answer.data))


def table(package: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    text = package.read(f"{name}.csv").decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_file_is_named_with_its_sum_and_readable_by_independent_libraries(
    reader: Reader, full: AClass, tmp_path: Path
) -> None:
    package = taken(reader)
    assert package.testzip() is None
    package.extractall(tmp_path)
    manifest = json.loads(package.read("manifest.json"))
    for line in package.read("SHA256SUMS").decode().splitlines():
        digest, name = line.split("  ")
        assert hashlib.sha256(package.read(name)).hexdigest() == digest
    names = [file["name"] for file in manifest["files"]]
    assert sorted([*names, "manifest.json", "SHA256SUMS"]) == sorted(package.namelist())
    assert manifest["counts"] == {
        "practicals": 2, "runs": 5, "decisions": 3, "without_a_kept_result": 1
    }  # fmt: skip
    assert (manifest["exported_by"], manifest["chosen"]) == ("a teacher", "everything")
    assert full.teacher.name not in package.read("manifest.json").decode()

    assert csvw.CSVW(str(tmp_path / "csv-metadata.json"), validate=True).is_valid
    schema = json.loads(package.read("practical-1.schema.json"))
    documents = [json.loads(package.read(name)) for name in names if name.startswith("practicals/")]
    for document in documents:
        jsonschema.Draft202012Validator(schema).validate(document)
    assert {document["key"] for document in documents} == {
        row["practical_key"] for row in table(package, "runs")
    }
    book = openpyxl.load_workbook(io.BytesIO(package.read("plumbfall.xlsx")))
    assert (book["Runs"].max_row, book["Practicals"].max_row) == (6, 3)


def test_figures_are_those_of_the_kept_result_and_empty_where_none_was_kept(reader: Reader) -> None:
    runs = table(taken(reader, "?part=tables"), "runs")
    assert {run["title"][-2:] for run in runs} == {"10", " 5"}
    for run in runs:
        expected = "1" if run["title"].endswith("10") else ""
        assert run["analysis_version"] == expected
        assert (run["standard_uncertainty_J_per_kg_K"] != "") is bool(expected)


def test_only_what_was_asked_for_of_whom_it_was_asked_goes_out(reader: Reader, full: AClass) -> None:
    package = taken(reader, f"?part=documents&practical={full.practical_id}")
    assert [name.partition("/")[0] for name in package.namelist()] == [
        *("practicals", "practical-1.schema.json", "practicals.csv", "csv-metadata.json"),
        *("manifest.json", "SHA256SUMS"),
    ]
    (row,) = table(package, "practicals")
    assert row["made_up"] == ""
    assert json.loads(package.read("manifest.json"))["chosen"] == "single practicals"


def test_a_report_goes_with_each_practical_that_has_runs(reader: Reader, full: AClass) -> None:
    package = taken(reader, f"?part=reports&practical={full.practical_id}")
    (report,) = [name for name in package.namelist() if name.startswith("reports/")]
    assert package.read(report).startswith(b"%PDF")


def test_another_departments_practicals_are_not_there(
    reader: Reader, full: AClass, application: Flask, sqlite_database: Database
) -> None:
    stranger = a_teacher(sqlite_database, "stranger", "Chemistry", is_head=True)
    theirs = another_class(sqlite_database, stranger, "Theirs")
    assert {row["title"] for row in table(taken(reader, "?part=tables"), "practicals")} == {
        "'=HYPERLINK(A1) Year 10", "Period 5"
    }  # fmt: skip
    asked = f"?practical={theirs.practical_id}&practical={full.practical_id}&part=tables"
    assert len(table(taken(reader, asked), "practicals")) == 1
    their_reader = Reader(application.test_client()).sign_in(stranger.login)
    page = their_reader.text(f"/department/export?practical={full.practical_id}")
    assert "There is nothing to take away." in page


def test_a_technician_takes_records_away_and_the_log_says_so(
    application: Flask, full: AClass, sqlite_database: Database
) -> None:
    technician = a_teacher(sqlite_database, "tec")
    with sqlite_database.writing() as session:
        session.get_one(Teacher, technician.teacher_id).role = Role.TECHNICIAN
    reader = Reader(application.test_client()).sign_in("tec")
    assert "2 practicals: all that the department keeps." in reader.text("/department/export")
    manifest = json.loads(taken(reader, "?part=tables").read("manifest.json"))
    assert manifest["exported_by"] == "a technician"
    head = a_teacher(sqlite_database, "head", is_head=True)
    (line,) = log_page(sqlite_database, actor=head, kind=LogKind.DOWNLOADED).lines
    assert (line.detail, line.actor) == ("zip", technician.name)


def test_the_page_asks_what_of_how_many_and_keeps_the_choice(reader: Reader, full: AClass) -> None:
    page = reader.text(f"/department/export?practical={full.practical_id}")
    assert "1 practical, as chosen." in page
    assert f'name="practical" value="{full.practical_id}"' in page


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The practicals whose rows were read; one in each transaction."""
    ids: list[int] = []
    whole = whole_practicals

    def counted(session: Any, practical_ids: list[int], **options: bool) -> list[WholePractical]:
        ids.extend(practical_ids)
        return whole(session, practical_ids, **options)

    monkeypatch.setattr(selection, "A_BATCH", 1)
    monkeypatch.setattr(selection, "whole_practicals", counted)
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
    colleague = Reader(application.test_client()).sign_in(a_teacher(sqlite_database, "other").login)
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
    (whole, *_) = selection.read_one_by_one(full.database, [full.practical_id], for_tables=False)
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


def test_a_made_up_token_names_no_export() -> None:
    exports = Exports()
    for token in ("", "short", "with spaces and ../dots"):
        exports.begin(token, 1, 3).end()
        assert exports.of(token, 1) is None
    assert under_way.EXPORTS.of(TOKEN, 1) is None


def test_the_list_offers_its_practicals_ticked_or_filtered_and_the_school_year(
    reader: Reader, full: AClass
) -> None:
    """6 March 2031 is in the school year that began in 2030."""
    page = reader.text("/department/?words=period")
    assert 'action="/department/export"' in page
    assert f'name="practical" value="{full.practical_id + 1}"' in page
    assert "/department/export?words=period" in page
    assert "1 practical, as chosen." in reader.text("/department/export?words=period")
    assert "/department/export?year=2030" in reader.text("/department/export")
    package = taken(reader, "?part=tables&year=2030&words=period")
    assert json.loads(package.read("manifest.json"))["chosen"] == {"year": "2030", "words": "period"}
    assert [row["title"] for row in table(package, "practicals")] == ["Period 5"]
    assert table(taken(reader, "?part=tables&year=2029"), "practicals") == []


def test_a_package_is_brought_in_again_without_loss(reader: Reader, full: AClass) -> None:
    """All that the document holds but the line of its history that says that it was brought in."""
    asked = f"{ADDRESS}?part=documents&practical={full.practical_id}"
    data = reader.get(asked).data
    delete_practical(full.database, actor=full.teacher, practical_id=full.practical_id, now=NOW)
    assert "Practicals stored: 1 of 1" in send(reader, data, "plumbfall.zip").text
    (before,) = documents(data)
    with full.database.reading() as session:
        again = max(session.scalars(select(Practical.id)))
    (after,) = documents(reader.get(f"{ADDRESS}?part=documents&practical={again}").data)
    for part in ("key", "people", "bench_plans", "benches", "results", "held_wall"):
        assert after[part] == before[part], part
    assert after["history"][: len(before["history"])] == before["history"]


def documents(data: bytes) -> list[Any]:
    package = zipfile.ZipFile(io.BytesIO(data))
    return [json.loads(package.read(name)) for name in package.namelist() if name.startswith("practicals/")]
