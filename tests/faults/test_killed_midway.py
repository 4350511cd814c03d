"""A move or a restore whose process is killed leaves what was there, and can be done again."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import inspect

from app.practicals.runs.sending import enter_run
from app.practicals.upkeep.backups import restore
from app.records.backup import back_up
from app.records.engine import Database
from app.records.moving import move
from app.records.whole_file import check_file
from tests.conftest import database_of_its_own
from tests.practicals.a_class import NOW, a_collecting_class, an_entry, new_key
from tests.practicals.seen import bench_runs

pytestmark = [pytest.mark.long, pytest.mark.skipif(os.name == "nt", reason="needs a hard kill")]
ROOT = Path(__file__).resolve().parents[2]
MOVE = """
import os, signal
from app.records.engine import Database
from app.records.moving import move
def told(table):
    if table.name == "run":
        os.kill(os.getpid(), signal.SIGKILL)
move(Database({source!r}), Database({target!r}), told)
"""
RESTORE = """
import os, signal
from datetime import UTC, datetime
from pathlib import Path
from app.practicals.upkeep import backups
from app.records import restoring as records
from app.records.engine import Database
setattr(records, {step!r}, lambda *_: os.kill(os.getpid(), signal.SIGKILL))
backups.restore(Database({source!r}), Path({file!r}), now=datetime.now(UTC))
"""


def killed(program: str, **values: str) -> None:
    done = subprocess.run([sys.executable, "-c", program.format(**values)], cwd=ROOT, check=False)
    assert done.returncode == -signal.SIGKILL


@pytest.fixture(params=["sqlite", "postgresql"])
def target(request: pytest.FixtureRequest, tmp_path: Path, worker_id: str) -> Iterator[str]:
    """The address of an empty database."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'new' / 'new.db'}"
        return
    with database_of_its_own(f"killed_{worker_id}") as address:
        yield address


def test_a_killed_move_leaves_an_empty_target_and_free_records(
    sqlite_database: Database, target: str
) -> None:
    bench = a_collecting_class(sqlite_database).join(1)
    enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    sqlite_database.close()
    killed(MOVE, source=str(sqlite_database.url), target=target)
    there = Database(target)
    if there.path is not None:
        assert not there.path.exists(), "nothing has the name"
    else:
        assert inspect(there.engine).get_table_names() == []
    move(sqlite_database, there, lambda _table: None)
    assert len(bench_runs(there, actor=bench)) == 1
    if there.path is not None:
        assert [file.name for file in there.path.parent.iterdir()] == ["new.db"], (
            "and nothing half-made is left"
        )
    there.close()


@pytest.mark.parametrize("step", ["_settle", "force_folder_to_disk"])
def test_a_killed_restore_leaves_whole_records_the_old_ones_or_the_new(
    sqlite_database: Database, tmp_path: Path, step: str
) -> None:
    bench = a_collecting_class(sqlite_database).join(1)
    made = back_up(sqlite_database, tmp_path / "copies" / "monday.db").path
    enter_run(sqlite_database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    sqlite_database.close()
    killed(RESTORE, source=str(sqlite_database.url), file=str(made), step=step)
    assert sqlite_database.path is not None
    assert check_file(sqlite_database.path) == "ok"
    replaced = step == "force_folder_to_disk"
    assert len(bench_runs(sqlite_database, actor=bench)) == (0 if replaced else 1)
    restore(sqlite_database, made, now=NOW)
    assert bench_runs(sqlite_database, actor=bench) == []
    assert not [file.name for file in tmp_path.iterdir() if file.name.startswith(".")]
