"""The commands as a person meets them: what they say, their exit status, one line when something fails."""

from __future__ import annotations

import json
import re
import signal
import subprocess
import time
import urllib.request
from pathlib import Path

import pytest

from tests.commands import COMMAND, by_shell, called, environment
from tests.serving import free_port

HEADER = "bench,shot_mass_g,tube_length_cm,inversions,start_temperature_C,end_temperature_C"
GOOD = f"{HEADER}\n1,500,100,50,20.0,22.9\n"


@pytest.mark.parametrize(
    ("arguments", "extra", "named"),
    [
        (["weigh"], {}, "weigh"),
        (["serve", "--port", "65536"], {}, "65536"),
        (["demo", "--port", "65536"], {}, "65536"),
        (["demo", "--port", "0"], {}, "0 is not in the range"),
        (["serve"], {"PLUMBFALL_PORT": "many"}, "PLUMBFALL_PORT"),
        (["serve"], {"DATABASE_URL": "mysql://x/y"}, "SQLite or PostgreSQL"),
        (["serve"], {"DATABASE_URL": "postgresql://nobody@127.0.0.1:1/x"}, "cannot be reached"),
        (["serve"], {"PLUMBFALL_DATA": "/dev/null/x"}, "/dev/null/x/plumbfall.db cannot be opened or made"),
        (["serve"], {"PLUMBFALL_SECRET_KEY": "physics"}, "PLUMBFALL_SECRET_KEY"),
        (["add-teacher", "x"], {}, "--name"),
        (["add-teacher", "x", "--name", "X", "--password", "short"], {}, "password"),
        (["analyse", "missing.csv"], {}, "missing.csv"),
    ],
)
def test_an_error_is_one_line_and_exit_status_2(
    tmp_path: Path, arguments: list[str], extra: dict[str, str], named: str
) -> None:
    done = called(tmp_path, *arguments, **extra)
    assert done.returncode == 2, done.stderr
    assert not [line for line in done.stdout.splitlines() if not line.startswith("Records: ")]
    assert done.stderr.startswith("plumbfall: ")
    assert done.stderr.count("\n") == 1
    assert named in done.stderr


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["weigh"], "weigh"),
        (["serve", "--port", "99999"], "99999"),
        (["set-head", "nobody"], "no records"),
        (["set-password", "nobody", "--password", "three plain words"], "no records"),
    ],
)
def test_a_shell_gets_the_line_and_the_status(tmp_path: Path, arguments: list[str], named: str) -> None:
    done = by_shell(tmp_path, *arguments)
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1)
    assert done.stderr.startswith("plumbfall: ")
    assert named in done.stderr


def test_a_defect_of_ours_is_no_line_of_the_commands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("app.settings.Settings.from_environment", broken)
    with pytest.raises(ZeroDivisionError):
        called(tmp_path, "doctor")


def test_a_teacher_is_added_once(tmp_path: Path) -> None:
    arguments = ("add-teacher", "m.ferro", "--name", "M. Ferro", "--password", "three plain words")
    assert "\nM. Ferro can sign in as m.ferro.\n" in by_shell(tmp_path, *arguments).stdout
    again = called(tmp_path, *arguments)
    assert again.returncode == 2
    assert "already a teacher" in again.stderr


def test_a_question_that_nobody_answers_ends_as_a_shell_ends_what_is_interrupted(tmp_path: Path) -> None:
    # 128 and the number of SIGINT (POSIX.1-2017, XCU 2.8.2; bash's manual, "Exit Status").
    done = by_shell(tmp_path, "add-teacher", "m.ferro", "--name", "M. Ferro")
    assert done.returncode == 128 + signal.SIGINT


def test_a_folder_is_no_backup(tmp_path: Path) -> None:
    (tmp_path / "backups").mkdir()
    done = called(tmp_path, "restore", "backups")
    assert (done.returncode, "is a directory" in done.stderr) == (2, True)


def test_the_doctor_names_what_it_stands_on(tmp_path: Path) -> None:
    done = by_shell(tmp_path, "doctor", PLUMBFALL_HOST="127.0.0.1")
    assert done.returncode == 0, done.stderr
    for subject in ("database", "driver", "SQLite version", "can be written", "address for phones"):
        assert subject in done.stdout
    called(tmp_path, "add-teacher", "a", "--name", "A", "--password", "three plain words")
    assert "journal" in called(tmp_path, "doctor").stdout


def test_the_doctor_says_what_to_try_with_a_phone_and_what_keeps_phones_away(tmp_path: Path) -> None:
    done = called(tmp_path, "doctor", "--phones", PLUMBFALL_BASE_ADDRESS="http://127.0.0.1:1")
    assert (done.returncode, done.stderr) == (2, "plumbfall: something above keeps phones away.\n")
    assert re.search(r"^BAD +Join links carry +http://127.0.0.1:1: ", done.stdout, re.MULTILINE)
    assert re.search(r"^BAD +The server +Nothing listens there", done.stdout, re.MULTILINE)
    findings = done.stdout.partition("\n\n")[0].splitlines()
    further = {len(line) - len(line.lstrip()) for line in findings if line.startswith(" ")}
    assert further == {findings[0].index("http://127")}, "further lines begin where the text begins"
    assert "2. On the phone, open http://127.0.0.1:1/test." in done.stdout
    assert not (tmp_path / "data").exists(), "the records are left alone"


def test_the_doctor_warns_of_plain_http_on_a_public_network(tmp_path: Path) -> None:
    done = called(tmp_path, "doctor", PLUMBFALL_BASE_ADDRESS="http://8.8.8.8:8480")
    assert done.returncode == 2
    assert re.search(
        r"^BAD +address for phones +http://8.8.8.8:8480 is plain http", done.stdout, re.MULTILINE
    )


def test_the_doctor_says_when_the_database_cannot_be_reached(tmp_path: Path) -> None:
    done = called(tmp_path, "doctor", DATABASE_URL="postgresql://nobody@127.0.0.1:1/x")
    assert done.returncode == 2
    assert re.search(r"^BAD +database +.*cannot be reached", done.stdout, re.MULTILINE)


def test_analyse_reads_standard_input_and_needs_no_database(tmp_path: Path) -> None:
    done = by_shell(tmp_path, "analyse", "-", "--json", typed=GOOD, DATABASE_URL="mysql://x/y")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["format"] == "plumbfall-analysis/1"


def test_the_demo_is_served_and_leaves_the_real_database_alone(tmp_path: Path) -> None:
    port = free_port()
    server = subprocess.Popen(
        [*COMMAND, "demo", "--port", str(port)],
        cwd=tmp_path,
        env=environment(
            tmp_path, PLUMBFALL_HOST="127.0.0.1", PLUMBFALL_BASE_ADDRESS="http://physics.school.test"
        ),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        page = first_page(port, server)
        refused = by_shell(tmp_path, "serve", "--port", str(port), PLUMBFALL_HOST="127.0.0.1")
    finally:
        server.terminate()
        printed, _ = server.communicate(timeout=20)
    assert "Plumbfall" in page
    assert (server.returncode, "server stops" in printed) == (0, True), "told to end, it ends in order"
    assert refused.returncode == 2
    assert f"port {port}" in refused.stderr
    for word in ("teacher", "phones", "sign-in", "password", "code"):
        assert word in printed
    assert re.search(r"teacher +http://physics\.school\.test/desk/$", printed, re.MULTILINE)
    # Nobody can look up a name under .test (RFC 6761), so that it may be public.
    assert re.search(r"warning +http://physics\.school\.test is plain http", printed)
    assert "Traceback" not in printed
    assert (tmp_path / "data" / "demo" / "demo.db").exists()
    assert f"Records: {tmp_path / 'data' / 'demo' / 'demo.db'}" in printed
    assert [path.name for path in (tmp_path / "data").iterdir()] == ["demo"], (
        "no records, and no key of theirs"
    )


def first_page(port: int, server: subprocess.Popen[str]) -> str:
    deadline = time.monotonic() + 45
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5) as answer:
                return str(answer.read(), "utf-8")
        except OSError:
            time.sleep(0.2)
    raise AssertionError("the demo did not answer")
