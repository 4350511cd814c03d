"""A PostgreSQL server of a test's own, in a temporary folder and on its own port: to be stopped and killed.

The server that the other tests share is never touched.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg
import pytest

from tests.serving import free_port

UNPRIVILEGED = "postgres"
"""PostgreSQL refuses to run as root; Debian's package makes this user."""


def _programs() -> Path:
    """The folder with `initdb` and `postgres`, or a skip; where a whole run is expected (CI), a failure."""
    found = shutil.which("initdb") or max(Path("/usr/lib/postgresql").glob("*/bin/initdb"), default=None)
    if found is None:
        reason = "No initdb was found, so no PostgreSQL server could be killed. Install PostgreSQL."
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return Path(found).resolve().parent


@dataclass
class OwnPostgreSQL:
    """A cluster, and the server process while it runs."""

    programs: Path
    folder: Path
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        """The address of its one database, for our settings."""
        return f"postgresql://{UNPRIVILEGED}@127.0.0.1:{self.port}/postgres"

    def start(self) -> None:
        """Start the server, and wait until it takes connections: after a kill it first recovers."""
        settings = {
            "port": self.port,
            "unix_socket_directories": str(self.folder),
            "log_min_messages": "panic",
        }
        options = [part for name, value in settings.items() for part in ("-c", f"{name}={value}")]
        self.process = subprocess.Popen(
            [self.programs / "postgres", "-D", self.folder / "data", *options],
            stderr=subprocess.DEVNULL,
            **self._who(),
        )
        for _ in range(1000):
            try:
                psycopg.connect(self.address).close()
            except psycopg.OperationalError:
                assert self.process.poll() is None, "PostgreSQL did not start"
                time.sleep(0.02)
            else:
                return
        raise RuntimeError("PostgreSQL did not take connections within 20 s")

    def kill(self) -> None:
        """End all its processes without warning (`kill -9`), in the middle of what they do."""
        assert self.process is not None
        os.kill(self.process.pid, signal.SIGSTOP)  # so that it neither starts nor ends any meanwhile
        killed = [*_children_of(self.process.pid), self.process.pid]
        for pid in killed:
            os.kill(pid, signal.SIGKILL)
        self.process.wait(timeout=20)
        while any(Path(f"/proc/{pid}").exists() for pid in killed):
            time.sleep(0.01)

    def stop(self) -> None:
        """Shut down: whoever is connected is cut off."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            self.process.wait(timeout=20)

    def make(self) -> None:
        """The cluster's files."""
        trusting = ["-A", "trust", "-U", UNPRIVILEGED, "--no-sync", "-E", "UTF8", "--locale", "C.UTF-8"]
        subprocess.run(
            [self.programs / "initdb", "-D", self.folder / "data", *trusting],
            check=True,
            stdout=subprocess.DEVNULL,
            **self._who(),
        )

    def _who(self) -> dict[str, Any]:
        as_root = {"user": UNPRIVILEGED, "group": UNPRIVILEGED, "extra_groups": []}
        return {"cwd": self.folder, **(as_root if os.geteuid() == 0 else {})}


@contextmanager
def own_postgresql() -> Iterator[OwnPostgreSQL]:
    """A server that runs, and goes with its files when the block ends."""
    programs = _programs()
    with tempfile.TemporaryDirectory(prefix="plumbfall-postgresql-") as folder:
        if os.geteuid() == 0:
            shutil.chown(folder, UNPRIVILEGED, UNPRIVILEGED)
        own = OwnPostgreSQL(programs, Path(folder))
        own.make()
        try:
            own.start()
            yield own
        finally:
            own.stop()


def _children_of(pid: int) -> list[int]:
    listed = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    return [int(child) for child in listed.split()]
