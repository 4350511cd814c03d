"""The upkeep commands as a person meets them."""

from __future__ import annotations

import re
import socket
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from app import create_app
from app.records.engine import Database
from app.records.migrate import downgrade
from app.records.revisions import current_revision_of_tables, newest_revision
from app.records.running import serving_from
from app.records.whole_file import check_file
from app.settings import Settings
from tests.commands import COMMAND, by_shell, called, environment
from tests.serving import free_port
from tests.test_cli import first_page
from tests.web.form_token import form_token

ADD = ("add-teacher", "r.osei", "--name", "R. Osei", "--password", "kettle orbit marble")


def served(tmp_path: Path) -> str:
    """What a server says that is started and stopped again."""
    port = free_port()
    server = subprocess.Popen(
        [*COMMAND, "serve", "--port", str(port)],
        cwd=tmp_path,
        env=environment(tmp_path, PLUMBFALL_HOST="127.0.0.1"),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        first_page(port, server)
    finally:
        server.terminate()
        printed, _ = server.communicate(timeout=20)
    return printed


def test_a_server_prints_a_code_for_the_first_head_while_nobody_can_sign_in(tmp_path: Path) -> None:
    said = served(tmp_path)
    code = re.search(r"nobody can sign in yet: type the code (\w{7}) at the teacher's address", said)
    assert code
    assert said.count(code[1]) == 1
    with closing(sqlite3.connect(tmp_path / "data" / "plumbfall.db")) as records:
        assert code[1] not in "\n".join(records.iterdump())


@contextmanager
def application(tmp_path: Path) -> Iterator[FlaskClient]:
    """The pages of the same records, in this process."""
    made = create_app(Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path / "data")}))
    yield made.test_client()
    made.extensions["plumbfall_database"].close()


def post(client: FlaskClient, address: str, **form: str) -> TestResponse:
    """Send a form with its token."""
    return client.post(address, data={"csrf_token": form_token(client), **form})


def sign_in(client: FlaskClient) -> TestResponse:
    """As the teacher who was added."""
    return post(client, "/sign-in", login="r.osei", password="kettle orbit marble")


def test_a_backup_is_made_and_said_to_be_complete(tmp_path: Path) -> None:
    assert called(tmp_path, *ADD).returncode == 0
    done = by_shell(tmp_path, "backup", "copies/monday.db")
    assert (done.returncode, done.stderr) == (0, "")
    assert "checked" in done.stdout
    assert check_file(tmp_path / "copies" / "monday.db") == "ok"


def test_without_records_there_is_one_line_and_no_file(tmp_path: Path) -> None:
    done = called(tmp_path, "backup", "copy.db")
    assert done.returncode == 2
    assert f"There are no records in {tmp_path / 'data' / 'plumbfall.db'}, so nothing" in done.stderr
    assert done.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == [], "neither a copy nor an empty school was made"


@pytest.mark.parametrize(
    "arguments",
    [
        ("set-password", "r.osei", "--password", "another three words"),
        ("set-head", "r.osei"),
        (*ADD, "--department", "Physics"),
    ],
)
def test_a_command_for_records_that_are_there_makes_no_empty_school(
    tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    done = called(tmp_path, *arguments)
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1)
    assert f"no records in {tmp_path / 'data' / 'plumbfall.db'}" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_every_command_that_opens_records_finds_the_same_ones_from_any_folder_and_names_them(
    tmp_path: Path,
) -> None:
    home = {"PLUMBFALL_DATA": "", "HOME": str(tmp_path / "home"), "XDG_DATA_HOME": str(tmp_path / "home")}
    first, other = tmp_path / "first", tmp_path / "other"
    first.mkdir()
    other.mkdir()
    said = f"Records: {tmp_path / 'home' / 'plumbfall' / 'plumbfall.db'}\n"
    assert said in called(first, *ADD, **home).stdout
    for arguments in (
        ("backup", "copy.db"),
        ("set-password", "r.osei", "--password", "another three words"),
        ("set-head", "r.osei"),
    ):
        done = called(other, *arguments, **home)
        assert (done.returncode, done.stderr) == (0, "")
        assert said in done.stdout
    assert str(tmp_path / "home" / "plumbfall" / "plumbfall.db") in called(other, "doctor", **home).stdout
    assert [path.name for path in other.iterdir()] == ["copy.db"]
    (other / "instance").mkdir()
    (other / "copy.db").rename(other / "instance" / "plumbfall.db")
    here = called(other, "set-head", "r.osei", **home).stdout
    assert f"Records: {other / 'instance' / 'plumbfall.db'}\n" in here
    assert "in the current folder is used" in here
    assert "in the current folder is used" in called(other, "doctor", **home).stdout


def test_the_first_teacher_is_head_and_head_is_given_and_taken(tmp_path: Path) -> None:
    assert "R. Osei is head of the new department “Physics”." in called(tmp_path, *ADD).stdout
    second = ("--name", "B", "--password", "kettle orbit marble")
    mistyped = called(tmp_path, "add-teacher", "b", *second, "--department", "Phsyics")
    assert mistyped.returncode == 2
    assert "no department “Phsyics”; there are: Physics." in mistyped.stderr
    assert "is head" not in called(tmp_path, "add-teacher", "b", *second).stdout
    last = called(tmp_path, "set-head", "r.osei", "--no-longer")
    assert (last.returncode, "only head" in last.stderr) == (2, True)
    assert "B is head of the department “Physics”." in by_shell(tmp_path, "set-head", "b").stdout
    taken = called(tmp_path, "set-head", "r.osei", "--no-longer")
    assert "R. Osei is no longer head of the department “Physics”." in taken.stdout
    founded = called(tmp_path, "add-teacher", "c", *second, "--new-department", "Chemistry")
    assert "B is head of the new department “Chemistry”." in founded.stdout
    undecided = called(tmp_path, "add-teacher", "d", *second)
    assert "several departments: Chemistry, Physics. Say which one with --department." in undecided.stderr
    both = called(tmp_path, "add-teacher", "d", *second, "--new-department", "X", "--department", "Physics")
    assert (both.returncode, "not both" in both.stderr) == (2, True)
    fourth = ("add-teacher", "d", *second, "--department", "Physics", "--technician")
    both = called(tmp_path, *fourth, "--head")
    assert both.stderr == "plumbfall: Give either --head or --technician, not both.\n"
    assert called(tmp_path, *fourth).returncode == 0
    assert called(tmp_path, "add-teacher", "e", *second, "--department", "Physics", "--head").returncode == 0
    said = called(tmp_path, "set-role", "b", "technician").stdout
    assert said.splitlines()[-1] == "B is technician of the department “Physics”."
    with closing(sqlite3.connect(tmp_path / "data" / "plumbfall.db")) as there:
        roles = dict(there.execute("SELECT login, role FROM teacher").fetchall())
    given = {"r.osei": "teacher", "b": "technician", "c": "head", "d": "technician", "e": "head"}
    assert roles == given


def test_a_teacher_gets_a_new_password(tmp_path: Path) -> None:
    assert called(tmp_path, *ADD).returncode == 0
    done = by_shell(tmp_path, "set-password", "r.osei", "--password", "another three words")
    assert done.stdout.splitlines()[-1] == "R. Osei has a new password and is signed out everywhere."
    wrong = called(tmp_path, "set-password", "nobody", "--password", "another three words")
    assert (wrong.returncode, wrong.stderr.count("\n")) == (2, 1)
    assert "No teacher signs in as “nobody”. Check the name." in wrong.stderr


def test_a_demo_that_cannot_listen_leaves_the_one_that_runs_alone(tmp_path: Path) -> None:
    loaded = called(tmp_path, "demo", "--load-only")
    assert loaded.returncode == 0, loaded.stderr
    assert re.search(r"password +\S+", loaded.stdout)
    (file,) = (tmp_path / "data").rglob("demo*.db")
    kept = file.read_bytes()
    with socket.socket() as taken:
        taken.bind(("0.0.0.0", free_port()))
        taken.listen()
        refused = called(tmp_path, "demo", "--port", str(taken.getsockname()[1]))
    assert (refused.returncode, refused.stderr.count("\n")) == (2, 1)
    assert file.read_bytes() == kept
    assert called(tmp_path, "demo", "--load-only").returncode == 0


def test_going_back_to_a_plain_copy_of_the_file_signs_everybody_out_and_says_so(tmp_path: Path) -> None:
    assert called(tmp_path, *ADD).returncode == 0
    file, kept = tmp_path / "data" / "plumbfall.db", tmp_path / "kept.db"
    said = served(tmp_path)
    assert "Every sign-in was ended" not in said
    assert "nobody can sign in yet" not in said
    assert re.search(r"Z info     server starts records=SQLite threads=24\n.* server stops\n", said)
    with application(tmp_path) as client:
        assert sign_in(client).status_code == 302
        with closing(sqlite3.connect(file)) as original, closing(sqlite3.connect(kept)) as copy:
            original.backup(copy)  # as it is, unlike `plumbfall backup`, which ends the sign-ins in its copy
        assert client.get("/desk/").status_code == 200
        assert post(client, "/sign-out").status_code == 302
        assert client.get("/desk/").status_code == 302
    assert called(tmp_path, "doctor", PLUMBFALL_HOST="127.0.0.1").returncode == 0
    for leftover in ("-wal", "-shm", "-journal"):
        file.with_name(file.name + leftover).unlink(missing_ok=True)
    file.write_bytes(kept.read_bytes())
    examined = called(tmp_path, "doctor")
    assert examined.returncode == 2
    assert "older than this server knew" in examined.stdout
    assert "Every sign-in was ended (1)" in served(tmp_path)
    assert called(tmp_path, "doctor", PLUMBFALL_HOST="127.0.0.1").returncode == 0
    assert "Every sign-in was ended" not in served(tmp_path)


def test_a_backup_comes_back_by_command_and_never_under_a_running_server(tmp_path: Path) -> None:
    assert called(tmp_path, *ADD).returncode == 0
    assert called(tmp_path, "backup", "monday.db").returncode == 0
    with closing(sqlite3.connect(tmp_path / "data" / "plumbfall.db")) as there:
        (kinds,) = zip(*there.execute("SELECT kind FROM log_entry ORDER BY id"), strict=True)
        assert kinds[-1] == "backed up"
    assert "practicals: 0; runs: 0." in called(tmp_path, "restore", "monday.db", "--only-look").stdout
    port = free_port()
    with subprocess.Popen(
        [*COMMAND, "serve", "--port", str(port)],
        cwd=tmp_path,
        env=environment(tmp_path, PLUMBFALL_HOST="127.0.0.1"),
        stdout=subprocess.DEVNULL,
        text=True,
    ) as server:
        first_page(port, server)
        refused = called(tmp_path, "restore", "monday.db")
        second = called(tmp_path, "serve")
        examined = called(tmp_path, "doctor").stdout
        server.terminate()
    assert (refused.returncode, refused.stdout, refused.stderr.count("\n")) == (2, "", 1)
    assert f"running on these records (process {server.pid} on " in refused.stderr
    assert (second.returncode, "in use by another Plumbfall server" in second.stderr) == (2, True)
    assert f"running: process {server.pid}" in examined
    done = by_shell(tmp_path, "restore", "monday.db")
    assert (done.returncode, done.stderr) == (0, "")
    assert re.search(r"until now are in \S+/data/plumbfall-replaced-\d{8}T\d{6}Z\.db\.\n", done.stdout)
    assert "older than the ones this server had before" in done.stdout
    assert called(tmp_path, "set-head", "r.osei").returncode == 0


def test_a_second_demo_leaves_the_one_that_runs_its_records(tmp_path: Path) -> None:
    assert called(tmp_path, "demo", "--load-only").returncode == 0
    file = tmp_path / "data" / "demo" / "demo.db"
    kept = file.read_bytes()
    demo = Database(f"sqlite:///{file}")
    with serving_from(demo):
        refused = called(tmp_path, "demo")
    demo.close()
    assert (refused.returncode, "Stop it, then try again" in refused.stderr) == (2, True)
    assert file.read_bytes() == kept


def test_records_of_an_earlier_version_are_brought_up_to_date_by_command(tmp_path: Path) -> None:
    assert called(tmp_path, *ADD).returncode == 0
    records = Database(f"sqlite:///{tmp_path / 'data' / 'plumbfall.db'}")
    downgrade(records, "0029")
    with (
        closing(sqlite3.connect(tmp_path / "data" / "plumbfall.db")) as there,
        closing(sqlite3.connect(tmp_path / "old.db")) as copy,
    ):
        there.backup(copy)
    assert called(tmp_path, "restore", "old.db", "--only-look").stdout.splitlines() == [
        "old.db is whole: practicals: 0; runs: 0.",
        "Its tables were of an earlier version (0029) and are brought up to date.",
    ]
    done = called(tmp_path, "upgrade")
    assert (done.returncode, done.stdout.splitlines()[-1]) == (0, "The tables are up to date.")
    assert current_revision_of_tables(records) == newest_revision()
    records.close()


def test_records_move_to_another_database_by_command(tmp_path: Path) -> None:
    assert called(tmp_path, *ADD).returncode == 0
    there = f"sqlite:///{tmp_path / 'there' / 'school.db'}"
    done = by_shell(tmp_path, "move", "--to", there)
    assert (done.returncode, done.stderr) == (0, "")
    assert re.search(r"\n  teacher +1\n", done.stdout)
    assert re.search(
        r"the same on both sides: tables: \d+; rows: \d+\.\nSet DATABASE_URL to sqlite", done.stdout
    )
    assert called(tmp_path, "set-head", "r.osei", DATABASE_URL=there).returncode == 0
    again = called(tmp_path, "move", "--to", there)
    assert (again.returncode, again.stderr.count("\n")) == (2, 1)
    assert "is not empty (the file is there), and nothing was changed" in again.stderr
