"""The upkeep commands, run as a person runs them."""

from __future__ import annotations

import re
import socket
from pathlib import Path

from app.records.backup import check_file
from tests.test_cli import free_port, run

ADD = ("add-teacher", "r.osei", "--name", "R. Osei", "--password", "kettle orbit marble")


def test_a_backup_is_made_and_said_to_be_complete(tmp_path: Path) -> None:
    assert run(tmp_path, *ADD).returncode == 0
    done = run(tmp_path, "backup", "copies/monday.db")
    assert (done.returncode, done.stderr) == (0, "")
    assert "checked" in done.stdout
    assert check_file(tmp_path / "copies" / "monday.db") == "ok"


def test_without_records_there_is_one_line_and_no_file(tmp_path: Path) -> None:
    done = run(tmp_path, "backup", "copy.db")
    assert done.returncode == 2
    assert done.stderr.strip() == "plumbfall: There are no records yet, so there is nothing to back up."
    assert not (tmp_path / "copy.db").exists()


def test_a_teacher_gets_a_new_password(tmp_path: Path) -> None:
    assert run(tmp_path, *ADD).returncode == 0
    done = run(tmp_path, "set-password", "r.osei", "--password", "another three words")
    assert done.stdout.strip() == "R. Osei has a new password and is signed out everywhere."
    wrong = run(tmp_path, "set-password", "nobody", "--password", "another three words")
    assert (wrong.returncode, wrong.stderr.count("\n")) == (2, 1)


def test_a_demo_that_cannot_listen_leaves_the_one_that_runs_alone(tmp_path: Path) -> None:
    loaded = run(tmp_path, "demo", "--load-only")
    assert loaded.returncode == 0, loaded.stderr
    assert re.search(r"password +\S+", loaded.stdout)
    (file,) = (tmp_path / "data").rglob("demo*.db")
    kept = file.read_bytes()
    with socket.socket() as taken:
        taken.bind(("0.0.0.0", free_port()))
        taken.listen()
        refused = run(tmp_path, "demo", "--port", str(taken.getsockname()[1]))
    assert (refused.returncode, refused.stderr.count("\n")) == (2, 1)
    assert file.read_bytes() == kept
    assert run(tmp_path, "demo", "--load-only").returncode == 0
