"""Practicals brought in on their page: a document, a package, and files that are neither."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from datetime import timedelta
from decimal import Decimal
from types import SimpleNamespace

import pytest
from flask import Flask, g
from sqlalchemy import select
from werkzeug.test import TestResponse

from app.exports.record import exact_json, package_in
from app.exports.record.document import document, key_of
from app.practicals.bring_in.record import Outcome
from app.practicals.lesson.deletions import delete_practical
from app.practicals.out.whole import whole_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PieceKind, Role
from app.records.engine import Database
from app.records.models import Practical, Run
from app.web.department.bring_in import file
from app.web.storage import settings
from tests.exports.record.bringing import emptied
from tests.exports.record.test_kit_round_trip import a_class_with_kit, own_piece
from tests.practicals.a_class import NOW, AClass, a_teacher
from tests.practicals.a_full_class import a_full_class
from tests.practicals.seen import count
from tests.web.desk.conftest import Reader
from tests.web.form_token import form_token

ADDRESS = "/department/bring-in"


def send(reader: Reader, data: bytes, name: str = "file.json") -> TestResponse:
    form = {"csrf_token": form_token(reader.client), "file": (io.BytesIO(data), name)}
    return reader.client.post(ADDRESS, data=form)


@pytest.fixture
def one(sqlite_database: Database) -> AClass:
    """A class of the teacher `desk`, with a history."""
    return a_full_class(sqlite_database)


@pytest.fixture
def desk(application: Flask, one: AClass) -> Reader:
    """Its teacher's browser."""
    return Reader(application.test_client()).let_in(one.teacher.login)


def taken_away(one: AClass) -> tuple[str, bytes]:
    """The key and the document; the practical itself is deleted."""
    whole = whole_practical(one.database, actor=one.teacher, practical_id=one.practical_id)
    text = exact_json.dumps(document(whole, "0.0")).encode()
    delete_practical(one.database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    return key_of(whole), text


def package(files: Mapping[str, bytes], sums: Mapping[str, bytes] | None = None, version: int = 1) -> bytes:
    """A package with a manifest whose sums are of `sums`, where they are not of the files themselves."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
        listed = [
            {"name": name, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
            for name, data in {**files, **(sums or {})}.items()
        ]
        manifest = {"format": "plumbfall-package", "format_version": version, "files": listed}
        archive.writestr("manifest.json", json.dumps(manifest))
    return made.getvalue()


def test_a_document_is_stored_and_a_second_time_is_here_already(desk: Reader, one: AClass) -> None:
    _, text = taken_away(one)
    assert 'href="/department/bring-in"' in desk.text("/department/")
    answer = send(desk, text)
    assert answer.status_code == 200
    assert "Practicals stored: 1 of 1" in answer.text
    with one.database.reading() as session:
        (stored,) = session.scalars(select(Practical))
    assert f"/desk/{stored.id}" in answer.text
    assert "Brought in from a file" in desk.text(f"/desk/{stored.id}/history")
    again = send(desk, text)
    assert "is here already, and says the same" in again.text
    assert (count(one.database, Practical), count(one.database, Run)) == (1, 4)


def test_a_piece_of_kit_that_has_another_label_here_is_told(
    application: Flask, sqlite_database: Database
) -> None:
    _, text = a_class_with_kit(sqlite_database)
    head = emptied(sqlite_database)
    own_piece(sqlite_database, head, PieceKind.BALANCE, "T3", Decimal("0.01"))
    answer = send(Reader(application.test_client()).let_in(head.login), text.encode())
    assert answer.status_code == 200
    assert "Practicals stored: 1 of 1" in answer.text
    assert "own piece of that label is called “T3 (2)” in the kit" in answer.text


def test_a_package_is_stored_document_by_document_with_a_word_for_each(desk: Reader, one: AClass) -> None:
    key, text = taken_away(one)
    other = text.replace(b'"version"', b'"verse"', 1)
    good, bad, lost, cut = (f"practicals/{name}.json" for name in (key, "b", "c", "d"))
    data = package({good: text, bad: other, cut: text + b" "}, {cut: text, lost: text})
    answer = send(desk, data, "all.zip")
    assert answer.status_code == 200
    assert "Practicals stored: 1 of 4" in answer.text
    for told in ("published form", "does not hold it", "not the one in the manifest"):
        assert told in answer.text
    assert count(one.database, Practical) == 1


def test_files_that_are_no_package_or_mean_harm_are_refused_whole(
    desk: Reader, one: AClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    key, text = taken_away(one)
    name = f"practicals/{key}.json"
    whole = package({name: text})
    late = io.BytesIO(whole)
    with zipfile.ZipFile(late, "a") as archive:
        archive.writestr("practicals/late.json", text)
    locked = bytearray(whole)
    locked[whole.rindex(b"PK\x01\x02") + 8] |= 1  # encrypted: the last file, which is the manifest
    for data, told in (
        (whole[:-200], "damaged or not whole"),
        (package({"../../etc/cron": b"", name: text}), "leads out of it"),
        (package({"C:/x": b"", name: text}), "leads out of it"),
        (package({"/" + 60 * "x": b""}), f"“/{59 * 'x'}”"),
        (package({name: text}, version=2), "Bring the program up to date"),
        (package({"readme.txt": b"hi"}), "holds no documents"),
        (late.getvalue(), "put in later"),
        (bytes(locked), "locked with a password. Bring it in without one"),
        (b"PK\x05\x06" + bytes(18), "no manifest.json"),
        (b"", "No file was chosen|empty"),
    ):
        answer = send(desk, data, "all.zip")
        assert answer.status_code == 422, told
        assert any(one in answer.text for one in told.split("|")), told
    bomb = package({name: bytes(9 * 1024**2)})  # nine megabytes of nothing in nine kilobytes
    assert len(bomb) < 20_000
    told = "Unpacked, it is larger than any document (8 MB), or than all together may be (256 MB)."
    assert told in send(desk, bomb, "all.zip").text
    monkeypatch.setattr(package_in, "LARGEST_TOGETHER", len(text))
    both = package({name: text, "practicals/more.json": text})
    assert "than all together may be" in send(desk, both, "all.zip").text
    monkeypatch.setattr(package_in, "MOST_FILES", 2)
    assert "holds 3 files, and at most 2 are read. Bring it in by parts" in send(desk, both, "all.zip").text
    assert send(desk, whole, "all.zip").status_code == 200, "two files are as many as are read"
    assert count(one.database, Practical) == 1


def test_a_size_that_the_package_only_claims_is_not_believed(desk: Reader, one: AClass) -> None:
    key, _ = taken_away(one)
    name = f"practicals/{key}.json"
    large = bytes(9 * 1024**2)
    honest = package({name: large})
    claimed = honest.replace(len(large).to_bytes(4, "little"), (100).to_bytes(4, "little"))
    assert claimed != honest
    answer = send(desk, claimed, "all.zip")
    assert "not stored" in answer.text
    assert count(one.database, Practical) == 0


def test_a_huge_file_is_refused_before_it_is_read(desk: Reader, sqlite_database: Database) -> None:
    class NeverRead(io.BytesIO):
        def read(self, *_: object) -> bytes:
            raise AssertionError("read")

    answer = desk.client.post(
        ADDRESS,
        input_stream=NeverRead(),
        content_type="multipart/form-data; boundary=x",
        environ_overrides={"CONTENT_LENGTH": str(1024**3)},
    )
    assert answer.status_code == 413
    assert "larger than 7 MB" in answer.text


def test_a_technician_brings_nothing_in(application: Flask, sqlite_database: Database) -> None:
    technician: TeacherIdentity = a_teacher(sqlite_database, "mx-lind", role=Role.TECHNICIAN)
    reader = Reader(application.test_client()).let_in(technician.login)
    assert reader.get(ADDRESS).status_code == 403
    assert send(reader, b"{}").status_code == 403
    assert "bring-in" not in reader.text("/department/")


@pytest.mark.parametrize(("days_left", "soon"), [(-1, True), (0, False), (None, False)])
def test_what_comes_in_after_its_last_day_is_told_to_go_soon(
    application: Flask, monkeypatch: pytest.MonkeyPatch, days_left: int | None, soon: bool
) -> None:
    """A practical is deleted after the day that it names, so on that day it stays."""
    with application.test_request_context():
        today = settings().local_day(NOW)
        goes = None if days_left is None else today + timedelta(days=days_left)
        read = SimpleNamespace(practical={"title": "9b", "delete_after": goes})
        g.teacher = None
        monkeypatch.setattr(file, "now", lambda: NOW)
        monkeypatch.setattr(file, "read_document", lambda _data: (read, None))
        stored = SimpleNamespace(outcome=Outcome.STORED)
        monkeypatch.setattr(file, "bring_in_practical", lambda *_args, **_named: stored)
        line = file._stored(b"")
        assert (line.told == file.GOES_SOON) is soon
