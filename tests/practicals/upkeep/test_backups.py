"""Going back to a backup: everything is looked at before anything is changed."""

from __future__ import annotations

import errno
import hashlib
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy import select

from app.practicals.people.actors import BenchIdentity
from app.practicals.people.sessions import teacher_for_token
from app.practicals.people.teachers import sign_in
from app.practicals.runs.sending import enter_run
from app.practicals.upkeep.backups import look_into, restore
from app.records import restoring
from app.records.backup import back_up
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.errors import StorageProblem
from app.records.migrate import downgrade
from app.records.models import KnownBrowser, LogEntry
from app.records.revisions import current_revision_of_tables, newest_revision
from app.records.running import ServerIsRunning, serving_from
from app.records.whole_file import check_file
from tests.practicals.a_class import NOW, PASSWORD, a_collecting_class, an_entry, new_key
from tests.practicals.seen import bench_runs, count


@dataclass(frozen=True)
class Monday:
    """A class with one run in the backup, and a second one in the records since."""

    records: Database
    backup: Path
    bench: BenchIdentity

    @property
    def path(self) -> Path:
        """The file of the records."""
        assert self.records.path is not None
        return self.records.path

    def runs(self) -> int:
        """How many runs the records have."""
        return len(bench_runs(self.records, actor=self.bench))

    def files(self) -> dict[str, str]:
        """Everything beside the records, to see that nothing was changed."""
        self.records.close()
        return {
            file.name: hashlib.sha256(file.read_bytes()).hexdigest()
            for file in self.path.parent.iterdir()
            if file.is_file() and not file.name.endswith("-in-use")
        }


@pytest.fixture
def monday(sqlite_database: Database, tmp_path: Path) -> Monday:
    records = Database(str(sqlite_database.url), last_known=tmp_path / "last-known")
    bench = a_collecting_class(records).join(1)
    enter_run(records, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    made = back_up(records, tmp_path / "copies" / "monday.db")
    enter_run(records, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    return Monday(records, made.path, bench)


def test_the_records_are_those_of_the_backup_and_the_others_stay_beside(monday: Monday) -> None:
    assert look_into(monday.records, monday.backup).runs == 1
    assert monday.runs() == 2, "looking changes nothing"
    done = restore(monday.records, monday.backup, now=NOW)
    assert (done.held.practicals, done.held.runs, done.held.is_older) == (1, 1, False)
    assert monday.runs() == 1
    assert done.kept == monday.path.with_name("plumbfall-replaced-20310306T101500Z.db")
    kept = Database(f"sqlite:///{done.kept}")
    assert len(bench_runs(kept, actor=monday.bench)) == 2
    kept.close()
    assert check_file(monday.path) == "ok"
    with monday.records.reading() as session:
        last = session.scalars(select(LogEntry).order_by(LogEntry.id.desc())).first()
        assert last is not None
        assert (last.kind, last.actor_id, last.department_id) == (LogKind.RESTORED, None, None)
    assert monday.path.stat().st_mode & 0o077 == 0
    again = restore(monday.records, done.kept, now=NOW)
    assert (monday.runs(), again.kept != done.kept) == (2, True), "and there is a way back"


def test_nobody_is_signed_in_afterwards_and_the_age_of_the_records_is_said(monday: Monday) -> None:
    plain = monday.backup.with_name("plain.db")  # made in another way, with a sign-in that has not ended
    signed = sign_in(monday.records, login="mrs-okafor", password=PASSWORD, address="here", now=NOW)
    with closing(sqlite3.connect(monday.path)) as there, closing(sqlite3.connect(plain)) as copy:
        there.backup(copy)
    sign_in(monday.records, login="mrs-okafor", password=PASSWORD, address="there", now=NOW)
    done = restore(monday.records, plain, now=NOW)
    assert teacher_for_token(monday.records, token=signed.token, now=NOW) is None
    assert count(monday.records, KnownBrowser) == 0
    assert done.back is not None
    assert "older than the ones this server had" in done.back.sentence
    assert restore(monday.records, plain, now=NOW).back is not None, "this copy is as old as before"
    monday.records.last_known = None
    assert restore(monday.records, plain, now=NOW).back is None, "how old it is, this server cannot tell"
    assert teacher_for_token(monday.records, token=signed.token, now=NOW) is None
    assert count(monday.records, KnownBrowser) == 0


def test_on_a_file_system_without_links_the_others_are_copied_and_on_the_disk_before_they_go(
    monday: Monday, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(_source: Path, _target: Path) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    forced: list[Path] = []
    monkeypatch.setattr(os, "link", no_links)
    monkeypatch.setattr(restoring, "force_to_disk", forced.append)
    before = monday.files()[monday.path.name]
    done = restore(monday.records, monday.backup, now=NOW)
    assert done.kept in forced
    assert hashlib.sha256(done.kept.read_bytes()).hexdigest() == before


def test_an_older_backup_is_brought_up_to_date(monday: Monday) -> None:
    old = Database(f"sqlite:///{monday.backup}")
    downgrade(old, "0010")
    old.close()
    before = hashlib.sha256(monday.backup.read_bytes()).hexdigest()
    done = restore(monday.records, monday.backup, now=NOW)
    assert (done.held.is_older, done.held.revision) == (True, "0010")
    assert current_revision_of_tables(monday.records) == newest_revision()
    assert monday.runs() == 1
    assert hashlib.sha256(monday.backup.read_bytes()).hexdigest() == before, "the backup is only read"


def test_where_there_are_no_records_they_are_made(monday: Monday, tmp_path: Path) -> None:
    another = Database(f"sqlite:///{tmp_path / 'new machine' / 'plumbfall.db'}")
    assert restore(another, monday.backup, now=NOW).kept is None
    assert len(bench_runs(another, actor=monday.bench)) == 1
    another.close()


def test_damaged_records_are_replaced_and_kept_with_what_lay_beside_them(monday: Monday) -> None:
    monday.records.close()
    monday.path.write_bytes(b"not a database any more")
    monday.path.with_name("plumbfall.db-journal").write_bytes(b"of the old file")
    done = restore(monday.records, monday.backup, now=NOW)
    assert done.kept is not None
    assert done.kept.read_bytes() == b"not a database any more"
    assert done.kept.with_name(done.kept.name + "-journal").read_bytes() == b"of the old file"
    assert monday.runs() == 1


def _cut(backup: Path) -> None:
    backup.write_bytes(backup.read_bytes()[:-4096])


def _cut_short_of_a_page(backup: Path) -> None:
    backup.write_bytes(backup.read_bytes()[:1000])


def _spoil(backup: Path) -> None:
    content = bytearray(backup.read_bytes())
    content[8192:16384] = b"\xff" * 8192
    backup.write_bytes(content)


def _sql(statement: str) -> Callable[[Path], None]:
    def change(backup: Path) -> None:
        with closing(sqlite3.connect(backup, isolation_level=None)) as there:
            there.execute(statement)

    return change


def _of_another_program(backup: Path) -> None:
    backup.unlink()
    _sql("CREATE TABLE teacher (id INTEGER)")(backup)


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (_cut, r"is not whole \(it is shorter than it says.* Use another backup"),
        (_cut_short_of_a_page, "is not whole"),
        (_spoil, "is not whole"),
        (_sql("DELETE FROM department"), r"is not whole \(a row of .* points at one of department"),
        (lambda backup: backup.write_bytes(b""), "is not a backup of Plumbfall's records"),
        (lambda backup: backup.write_text("bench,shot_mass_g\n"), "is not a backup of Plumbfall's records"),
        (_of_another_program, "is not a backup of Plumbfall's records"),
        (_sql("DELETE FROM alembic_version"), "is not a backup of Plumbfall's records"),
        (
            _sql("UPDATE alembic_version SET version_num = '9999'"),
            r"newer version .*9999.* Install that version",
        ),
        (Path.unlink, r"cannot be read \(No such file"),
    ],
)
def test_what_is_no_whole_backup_of_ours_is_named_and_nothing_is_touched(
    monday: Monday, spoil: Callable[[Path], None], said: str
) -> None:
    spoil(monday.backup)
    before = monday.files()
    for use in (look_into, lambda *args: restore(*args, now=NOW)):
        with pytest.raises(StorageProblem, match=said) as problem:
            use(monday.records, monday.backup)
        assert "nothing was changed" in str(problem.value)
    assert monday.files() == before
    assert monday.runs() == 2


def test_the_records_themselves_are_no_backup_of_theirs(monday: Monday) -> None:
    with pytest.raises(restoring.RestoreFailed, match="the file of the records itself"):
        restore(monday.records, monday.path, now=NOW)


def test_under_a_running_server_nothing_is_touched(monday: Monday) -> None:
    before = monday.files()
    with serving_from(monday.records), pytest.raises(ServerIsRunning):
        restore(monday.records, monday.backup, now=NOW)
    assert monday.files() == before


def test_a_program_that_is_writing_is_waited_for_and_then_named(
    monday: Monday, monkeypatch: pytest.MonkeyPatch
) -> None:
    connect = sqlite3.connect
    monkeypatch.setattr(sqlite3, "connect", lambda *args, **more: connect(*args, **{"timeout": 0.05, **more}))
    before = monday.files()
    with closing(connect(monday.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(restoring.RestoreFailed, match=r"locked.* They are as they were"):
            restore(monday.records, monday.backup, now=NOW)
        other.execute("ROLLBACK")
    assert monday.files() == before


def test_a_full_disk_leaves_the_records_as_they_were(monday: Monday, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_source: Path) -> None:
        raise OSError(28, "No space left on device")

    before = monday.files()
    monkeypatch.setattr(restoring, "force_to_disk", full)
    with pytest.raises(restoring.RestoreFailed, match="No space left"):
        restore(monday.records, monday.backup, now=NOW)
    assert monday.files() == before


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such owners")
def test_another_users_records_are_not_made_ones_own(monday: Monday, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: monday.path.stat().st_uid + 1)
    with pytest.raises(restoring.OthersRecords, match="as the user who starts the server"):
        restore(monday.records, monday.backup, now=NOW)


def test_postgresql_is_told_about_its_own_tool_and_the_move(postgresql_database: Database) -> None:
    with pytest.raises(restoring.NotInSQLite, match=r"pg_restore.*sqlite:///monday\.db plumbfall move"):
        restore(postgresql_database, Path("monday.db"), now=NOW)
