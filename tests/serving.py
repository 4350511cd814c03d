"""A real server in its own process, with its own database, for tests that drive it from outside."""

from __future__ import annotations

import os
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.migrate import open_database
from tests.practicals.a_class import AClass, a_plan, a_teacher

ROOT = Path(__file__).resolve().parent.parent
PROGRAM = (
    "from app import create_app; from app.settings import Settings; from app.serving import serve; "
    "settings = Settings.from_environment(); serve(create_app(settings), settings)"
)


@dataclass
class Served:
    """A running server. `database` opens the same database from the test's own process."""

    address: str
    database: Database
    folder: Path
    process: subprocess.Popen[bytes]

    def a_class(self, **plan: Any) -> AClass:
        """Another practical that is collecting, with a teacher of its own (`a_class.PASSWORD`)."""
        return a_class_in(self.database, **plan)


def a_class_in(database: Database, teacher: TeacherIdentity | None = None, **plan: Any) -> AClass:
    """Another practical that is collecting just now; without a teacher it gets its own."""
    now = datetime.now(UTC)
    teacher = teacher or a_teacher(database, login=f"teacher-{secrets.token_hex(4)}")
    planned = plan_practical(database, actor=teacher, plan=a_plan(**plan), now=now)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=now)
    return AClass(database, teacher, opened)


@contextmanager
def serving(
    folder: Path, port: int | None = None, program: str = PROGRAM, **environment: str
) -> Iterator[Served]:
    """Serve from this folder until the block ends. The database stays, so a second server finds it."""
    port = port or free_port()
    folder.mkdir(parents=True, exist_ok=True)
    database_url = environment.get("DATABASE_URL") or f"sqlite:///{folder / 'plumbfall.db'}"
    database = open_database(database_url)
    settings = {
        "PLUMBFALL_DATA": str(folder),
        "DATABASE_URL": database_url,
        "PLUMBFALL_HOST": "127.0.0.1",
        "PLUMBFALL_PORT": str(port),
    }
    process = subprocess.Popen(
        [sys.executable, "-c", program], cwd=ROOT, env={**os.environ, **settings, **environment}
    )
    address = f"http://127.0.0.1:{port}"
    try:
        _wait_for(address, process)
        yield Served(address, database, folder, process)
    finally:
        process.terminate()
        process.wait(timeout=20)
        database.close()


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class NoChromium(RuntimeError):
    """The machine has no browser for the browser tests; the text says what to do."""


def chromium_path() -> str:
    """The installed Chromium: the one that `PLUMBFALL_CHROMIUM` names, else the first on the path."""
    named = os.environ.get("PLUMBFALL_CHROMIUM")
    names = (named,) if named else ("chromium", "chromium-browser", "google-chrome")
    found = next(filter(None, map(shutil.which, names)), None)
    if found is None:
        raise NoChromium(
            f"PLUMBFALL_CHROMIUM is {named}, and no program is there."
            if named
            else "No Chromium was found for the browser tests. Install one (Debian: apt-get install chromium)"
            " or set PLUMBFALL_CHROMIUM to the program."
        )
    return found


def _wait_for(address: str, process: subprocess.Popen[bytes]) -> None:
    for _ in range(300):
        if process.poll() is not None:
            raise RuntimeError(f"the server ended with status {process.returncode} before it answered")
        try:
            with urllib.request.urlopen(address, timeout=2):
                return
        except urllib.error.HTTPError:
            return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("the server did not answer within 30 s")
