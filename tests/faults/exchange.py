"""Two servers of an older version are exchanged for this one, one by one, while phones send through both.

    python -m tests.faults.exchange COMMIT

unpacks that commit, makes records in PostgreSQL with it, upgrades them with this version, and prints how
many runs were acknowledged at each step and stored in the end. It ends with status 1 where one is missing
or was stored twice.
"""

from __future__ import annotations

import io
import os
import secrets
import subprocess
import sys
import tarfile
import tempfile
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Engine, create_engine, text
from sqlalchemy.engine import make_url

from tests.conftest import database_of_its_own
from tests.faults.phones import Phone
from tests.serving import PROGRAM, ROOT, free_port

PHONES, PAUSE_SECONDS, STEP_SECONDS, START_SECONDS = 12, 3, 15, 180
MAKE = """
import os
from datetime import UTC, datetime
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.records.migrate import open_database
from tests.practicals.a_class import a_plan, a_teacher
database, now = open_database(os.environ["DATABASE_URL"]), datetime.now(UTC)
who = {"actor": a_teacher(database), "now": now}
planned = plan_practical(database, plan=a_plan(planned_benches=PHONES), **who)
print(open_practical(database, practical_id=planned.practical_id, **who).join_code)
"""
UPGRADE = "from app.cli import main; main(['upgrade', '--backed-up'])"


@dataclass
class Class:
    """The phones of a class, each sending run after run to whichever server answers."""

    servers: list[str]
    code: str
    acknowledged: list[str] = field(default_factory=list)
    failures: list[BaseException] = field(default_factory=list)

    @contextmanager
    def sending(self, engine: Engine) -> Iterator[None]:
        """Phones join, then send until the block ends."""
        phones = [_Phone(self.servers, self.code, number) for number in range(1, PHONES + 1)]
        with engine.connect() as connection:
            benches = {row.number: row.id for row in connection.execute(text("SELECT number, id FROM bench"))}
        ended = threading.Event()

        def work(phone: _Phone) -> None:
            try:
                while not ended.wait(PAUSE_SECONDS):
                    key = secrets.token_hex(16)
                    phone.keep_sending(benches[phone.number], key)
                    self.acknowledged.append(key)
            except BaseException as error:
                self.failures.append(error)

        workers = [threading.Thread(target=work, args=(phone,), daemon=True) for phone in phones]
        for worker in workers:
            worker.start()
        try:
            yield
        finally:
            ended.set()
            for worker in workers:
                worker.join(60)


class _Phone(Phone):
    """Goes on with the other server where one does not answer."""

    def keep_sending(self, bench_id: int, key: str) -> None:
        turn = secrets.randbelow(2)
        while True:
            turn += 1
            try:
                status, answer = self.try_to_send(bench_id, key, turn)
            except OSError:
                time.sleep(0.3)
                continue
            if status == 200:
                return
            assert status == 503, answer


class _Server:
    """One place for a server: the program in a folder, on a port of its own."""

    def __init__(self, folder: Path, environment: dict[str, str]) -> None:
        self.port, self.folder = free_port(), folder
        folder.mkdir()
        self.environment = environment | {
            "PLUMBFALL_HOST": "127.0.0.1",
            "PLUMBFALL_PORT": str(self.port),
            "PLUMBFALL_DATA": str(folder),
        }
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self, program: Path) -> None:
        with (self.folder / "server.log").open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-c", PROGRAM], cwd=program, env=self.environment, stderr=log
            )
        until = time.monotonic() + START_SECONDS
        while time.monotonic() < until:
            try:
                urllib.request.urlopen(f"{self.address}/ready", timeout=5).close()
            except OSError:
                time.sleep(0.5)
            else:
                return
        raise RuntimeError(f"no answer; see {self.folder / 'server.log'}")

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(60)


def main(commit: str) -> int:
    """The whole exchange; the exit status."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        old = folder / "old"
        packed = subprocess.run(["git", "archive", commit], cwd=ROOT, check=True, capture_output=True).stdout
        with tarfile.open(fileobj=io.BytesIO(packed)) as files:
            files.extractall(old, filter="data")
        url = stack.enter_context(database_of_its_own("exchange"))
        shared = os.environ | {"DATABASE_URL": url, "PLUMBFALL_SECRET_KEY": secrets.token_hex(32)}
        shared |= {"PLUMBFALL_DATA": str(folder / "data")}
        engine = create_engine(make_url(url))
        stack.callback(engine.dispose)
        servers = [_Server(folder / name, shared) for name in ("a", "b")]
        lesson = Class([one.address for one in servers], _by(old, MAKE, shared).split()[-1])
        for one in servers:
            stack.callback(one.stop)
            one.start(old)
        steps = _Steps(lesson, engine)
        with lesson.sending(engine):
            steps.told("two old servers")
            _by(ROOT, UPGRADE, shared)
            steps.told("two old servers on new tables")
            servers[0].stop()
            servers[0].start(ROOT)
            steps.told("an old server beside a new one")
            servers[1].stop()
            servers[1].start(ROOT)
            steps.told("two new servers")
        with engine.connect() as connection:
            stored = list(connection.execute(text("SELECT idempotency_key FROM run")).scalars())
        missing = set(lesson.acknowledged) - set(stored)
        print(f"acknowledged {len(lesson.acknowledged)}, stored {len(stored)}, missing {len(missing)}")
        for failure in lesson.failures:
            print(f"a phone gave up: {failure!r}")
        return 1 if missing or lesson.failures or len(stored) != len(set(stored)) else 0


@dataclass
class _Steps:
    lesson: Class
    engine: Engine
    before: int = 0

    def told(self, what: str) -> None:
        """Let the class go on for a while, and say how far it came."""
        time.sleep(STEP_SECONDS)
        with self.engine.connect() as connection:
            tables = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
        now = len(self.lesson.acknowledged)
        print(f"{what} (tables at {tables}): {now - self.before} runs", flush=True)
        self.before = now


def _by(program: Path, code: str, environment: dict[str, str]) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code.replace("PHONES", str(PHONES))],
        cwd=program,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        raise RuntimeError(done.stderr)
    return done.stdout


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
