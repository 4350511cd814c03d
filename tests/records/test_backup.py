"""Backups are whole, checked, and never half-made."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest

from app.practicals.people.sessions import teacher_for_token
from app.practicals.people.teachers import sign_in
from app.practicals.runs.sending import enter_run
from app.records.backup import BackupProblem, back_up
from app.records.engine import Database
from app.records.models import KnownBrowser
from app.records.whole_file import check_file
from tests.practicals.a_class import NOW, PASSWORD, a_collecting_class, a_teacher, an_entry, new_key
from tests.practicals.seen import bench_runs, count


def test_a_backup_holds_every_run_and_opens_by_itself(sqlite_database: Database, tmp_path: Path) -> None:
    bench = a_collecting_class(sqlite_database).join(1)
    enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    made = back_up(sqlite_database, tmp_path / "copies" / "monday.db")
    assert check_file(made.path) == "ok"
    assert made.size_bytes == made.path.stat().st_size > 0
    assert made.path.stat().st_mode & 0o077 == 0, "it holds password hashes: its owner's only"
    copy = Database(f"sqlite:///{made.path}")
    assert len(bench_runs(copy, actor=bench)) == 1
    copy.close()
    assert [path.name for path in made.path.parent.iterdir()] == ["monday.db"]


def test_a_backup_made_while_benches_send_is_whole(sqlite_database: Database, tmp_path: Path) -> None:
    bench = a_collecting_class(sqlite_database).join(1)
    stop = threading.Event()
    failures: list[Exception] = []

    def send() -> None:
        try:
            while not stop.is_set():
                enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
        except Exception as error:
            failures.append(error)

    sender = threading.Thread(target=send)
    sender.start()
    try:
        made = [back_up(sqlite_database, tmp_path / f"{number}.db") for number in range(3)]
    finally:
        stop.set()
        sender.join()
    assert failures == []
    for backup in made:
        assert check_file(backup.path) == "ok"
        copy = sqlite3.connect(backup.path)
        runs, versions = (
            copy.execute(f"SELECT count(*) FROM {t}").fetchone()[0] for t in ("run", "run_version")
        )
        copy.close()
        assert runs == versions, "a run is never in a copy without what was typed"


def test_a_broken_original_makes_no_backup_and_leaves_the_earlier_one(
    sqlite_database: Database, tmp_path: Path
) -> None:
    a_collecting_class(sqlite_database)
    earlier = back_up(sqlite_database, tmp_path / "copy.db")
    kept = earlier.path.read_bytes()
    sqlite_database.close()
    path = sqlite_database.path
    assert path is not None
    content = bytearray(path.read_bytes())
    content[4096:12288] = b"\xff" * 8192
    path.write_bytes(content)
    with pytest.raises(BackupProblem):
        back_up(sqlite_database, earlier.path)
    assert earlier.path.read_bytes() == kept
    assert not list(tmp_path.glob("*.part")) + list(tmp_path.glob(".*.part"))


def test_a_file_is_checked_whole_and_only_looked_at(sqlite_database: Database, tmp_path: Path) -> None:
    a_collecting_class(sqlite_database)
    copied = back_up(sqlite_database, tmp_path / "copy.db").path
    assert check_file(copied) == "ok"
    content = bytearray(copied.read_bytes())
    content[4096:12288] = b"\xff" * 8192
    copied.write_bytes(content)
    try:
        found = check_file(copied)
    except sqlite3.DatabaseError as error:
        found = str(error)
    assert found != "ok"
    with pytest.raises(sqlite3.OperationalError):
        check_file(tmp_path / "nothing.db")
    assert [file.name for file in tmp_path.iterdir() if "nothing" in file.name] == []


def test_the_records_are_never_overwritten_by_their_own_backup(sqlite_database: Database) -> None:
    assert sqlite_database.path is not None
    with pytest.raises(BackupProblem, match="Choose another file"):
        back_up(sqlite_database, sqlite_database.path)


def test_postgresql_is_told_about_its_own_tool(postgresql_database: Database, tmp_path: Path) -> None:
    with pytest.raises(BackupProblem, match="pg_dump"):
        back_up(postgresql_database, tmp_path / "copy.db")


def test_nobody_is_signed_in_in_a_copy_and_everybody_still_is_in_the_records(
    sqlite_database: Database, tmp_path: Path
) -> None:
    a_teacher(sqlite_database)
    signed = sign_in(sqlite_database, login="mrs-okafor", password=PASSWORD, address="here", now=NOW)
    made = back_up(sqlite_database, tmp_path / "copy.db")
    copy = Database(f"sqlite:///{made.path}")
    assert teacher_for_token(copy, token=signed.token, now=NOW) is None
    assert (count(copy, KnownBrowser), count(sqlite_database, KnownBrowser)) == (0, 1)
    assert sign_in(copy, login="mrs-okafor", password=PASSWORD, address="here", now=NOW)
    copy.close()
    assert teacher_for_token(sqlite_database, token=signed.token, now=NOW) is not None
