"""A disk that is full, or that nobody may write to: a clear sentence, nothing lost, and on it goes after."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import AbstractContextManager
from html import unescape
from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.practicals.board.snapshot import class_snapshot
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.errors import DatabaseFull
from app.records.migrate import NotCopied, downgrade, open_database
from app.records.models import Run
from app.records.revisions import current_revision_of_tables, newest_revision
from app.records.whole_file import check_file
from app.settings import Settings
from tests.commands import called
from tests.faults.small_disk import SmallDisk, disk  # noqa: F401 - the fixture
from tests.practicals.a_class import NOW, AClass, a_collecting_class, an_entry, new_key
from tests.practicals.seen import bench_runs, count
from tests.web.department.out.exporting import ADDRESS as EXPORT
from tests.web.department.out.exporting import taken
from tests.web.desk.conftest import (  # noqa: F401 - fixtures
    Reader,
    a_class,
    application,
    desk,
    planned,
    teacher,
)
from tests.web.phone.phone import READINGS, Phone

EARLIER = "0010"
FAULTS = ["full", "read only"]
PAGE = 4096


@pytest.fixture
def small(disk: SmallDisk, sqlite_template: Path) -> SmallDisk:  # noqa: F811 - the fixture
    """With records on it, without a row."""
    shutil.copyfile(sqlite_template, disk.path / "plumbfall.db")
    return disk


@pytest.fixture
def records(small: SmallDisk) -> Iterator[Database]:
    database = Database(f"sqlite:///{small.path / 'plumbfall.db'}")
    yield database
    database.close()


@pytest.fixture
def on_small_disk(records: Database, tmp_path: Path) -> Iterator[Flask]:
    made = create_app(
        Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path), "DATABASE_URL": str(records.url)})
    )
    yield made
    made.extensions["plumbfall_database"].close()


def broken(small: SmallDisk, how: str) -> AbstractContextManager[None]:
    return small.read_only() if how == "read only" else small.full()


@pytest.mark.parametrize("how", FAULTS)
def test_a_phone_is_told_and_sends_what_it_kept_afterwards(
    small: SmallDisk, records: Database, on_small_disk: Flask, how: str
) -> None:
    phone, one = _joined(on_small_disk, records)
    assert phone.ask("/bench/send", _run(one, new_key())).status_code == 200
    kept, served = _run(one, new_key()), on_small_disk.extensions["plumbfall_database"]
    for database in (records, served):
        database.close()
    with broken(small, how):
        refused = phone.ask("/bench/send", kept)
        assert refused.status_code == 503
        assert "could not be written to the disk and nothing was stored" in refused.json["problem"]  # type: ignore[index]
        assert "19.2" in phone.open("/bench/runs").get_data(as_text=True), "reading goes on"
        phone.open("/bench/run/all")
        phone.step(go="send", **{**READINGS, "end_temperature": "21.9"})
        assert "could not be written to the disk" in phone.text
        assert phone.form()["end_temperature"] == "21.9", "what was typed without the script is still there"
        for database in (records, served):
            database.close()
    assert check_file(small.path / "plumbfall.db") == "ok"
    assert phone.ask("/bench/send", kept).json["saved"]["run"] == 2  # type: ignore[index]
    phone.open("/bench/run/check")
    phone.step(go="send")
    assert "Saved as run 3" in phone.text
    assert count(records, Run) == 3


@pytest.mark.parametrize("how", FAULTS)
def test_a_backup_that_cannot_be_written_leaves_the_earlier_one(
    small: SmallDisk, sqlite_database: Database, tmp_path: Path, how: str
) -> None:
    a_collecting_class(sqlite_database)
    copies = small.path / "copies"
    copies.mkdir()
    where = {"DATABASE_URL": str(sqlite_database.url)}
    made = called(tmp_path, "backup", str(copies / "monday.db"), **where)
    assert made.returncode == 0
    with broken(small, how):
        failed = called(tmp_path, "backup", str(copies / "monday.db"), **where)
        assert failed.returncode == 2
        assert "The backup could not be made" in failed.stderr
        assert len(failed.stderr.splitlines()) == 1
        assert check_file(copies / "monday.db") == "ok"
    assert [file.name for file in copies.iterdir()] == ["monday.db"]
    assert called(tmp_path, "backup", str(copies / "tuesday.db"), **where).returncode == 0


@pytest.mark.parametrize("how", [*FAULTS, "room for the copy alone"])
def test_tables_that_cannot_be_brought_up_to_date_stay_as_they_were(
    small: SmallDisk, records: Database, how: str
) -> None:
    bench = a_collecting_class(records).join(1)
    enter_run(records, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    downgrade(records, EARLIER)
    address, file = str(records.url), small.path / "plumbfall.db"
    records.close()
    room_for_the_copy = small.full(file.stat().st_size + 2 * PAGE)
    with (
        room_for_the_copy if "copy" in how else broken(small, how),
        pytest.raises((NotCopied, DatabaseFull), match=r"nothing was (changed|stored)"),
    ):
        open_database(address)
    assert check_file(file) == "ok"
    assert current_revision_of_tables(records) == EARLIER
    records.close()
    open_database(address).close()
    assert current_revision_of_tables(records) == newest_revision()
    assert len(bench_runs(records, actor=bench)) == 1


@pytest.mark.parametrize("how", FAULTS)
def test_an_export_without_room_for_what_waits_is_refused_and_can_be_taken_afterwards(
    small: SmallDisk,
    a_class: AClass,  # noqa: F811 - the fixture
    desk: Reader,  # noqa: F811 - the fixture
    monkeypatch: pytest.MonkeyPatch,
    how: str,
) -> None:
    enter_run(a_class.database, actor=a_class.join(1), key=new_key(), entry=an_entry(), now=NOW)
    monkeypatch.setattr(tempfile, "tempdir", str(small.path))
    with broken(small, how):
        refused = desk.get(EXPORT)
        assert refused.status_code == 503
        assert "cannot take the files of an export, so nothing was sent" in unescape(refused.text)
    assert taken(desk).testzip() is None


def _joined(served: Flask, records: Database) -> tuple[Phone, AClass]:
    one, phone = a_collecting_class(records), Phone(served.test_client())
    phone.join(one.practical.join_code or "", 1)
    return phone, one


def _run(one: AClass, key: str) -> dict[str, object]:
    (bench,) = class_snapshot(one.database, one.practical_id, actor=one.teacher).benches
    return {**READINGS, "key": key, "bench": str(bench.bench_id)}
