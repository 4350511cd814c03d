"""The servers that are compared: the product's own, and the bare application, on a database each."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from app.records.engine import journal_mode
from tests.conftest import database_of_its_own
from tests.serving import ROOT, Served, free_port, serving

THREADS = 24
"""The product's own default (`PLUMBFALL_THREADS`)."""
OURS = "import sys; sys.modules['rich'] = None; from app.cli import main; main(['serve'])"
"""`plumbfall serve`. structlog loads rich where that is installed: a tool of the tests alone brings it."""
DATABASES = ("SQLite", "PostgreSQL")


@dataclass(frozen=True)
class Bare:
    """The bare application, served."""

    address: str
    process: subprocess.Popen[bytes]


@dataclass(frozen=True)
class BothServers:
    """Ours and the bare one, at the same time on the same machine."""

    ours: Served
    bare: Bare


@contextmanager
def both(folder: Path, database: str) -> Iterator[BothServers]:
    """Both servers, on SQLite files in this folder or on PostgreSQL databases of their own."""
    with ExitStack() as stack:
        if database == "SQLite":
            own, other = (f"sqlite:///{folder / name}.db" for name in ("ours", "bare"))
        else:
            own, other = (
                stack.enter_context(database_of_its_own(f"load_{name}", durable=True))
                for name in ("ours", "bare")
            )
        threads = str(THREADS)
        ours = stack.enter_context(serving(folder, program=OURS, DATABASE_URL=own, PLUMBFALL_THREADS=threads))
        yield BothServers(ours, stack.enter_context(bare(other)))


def bare_command(port: int, address: str) -> list[str]:
    """The command that serves the bare application."""
    journal = journal_mode(sqlite3.sqlite_version_info[:3])
    return [
        sys.executable,
        "-m",
        "tests.benchmarks.load.bare",
        str(port),
        str(THREADS),
        address,
        journal,
    ]


def server_environment() -> dict[str, str]:
    """The environment of a server: Python keeps what it has compiled, as installations do."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


@contextmanager
def bare(database_address: str) -> Iterator[Bare]:
    """The bare application, served until the block ends."""
    port = free_port()
    process = subprocess.Popen(bare_command(port, database_address), cwd=ROOT, env=server_environment())
    try:
        address = f"http://127.0.0.1:{port}"
        wait_for_page(f"{address}/first")
        yield Bare(address, process)
    finally:
        process.terminate()
        process.wait(timeout=20)


def wait_for_page(address: str, seconds: float = 60.0) -> None:
    """Ask until the page is there."""
    until = time.perf_counter() + seconds
    while time.perf_counter() < until:
        try:
            with urllib.request.urlopen(address, timeout=10) as answer:
                answer.read()
            return
        except urllib.error.HTTPError:
            raise
        except OSError:
            time.sleep(0.005)
    raise TimeoutError(f"{address} was not there within {seconds:.0f} s")


def processor_seconds(process: subprocess.Popen[bytes]) -> float:
    """What this process has used so far (proc(5), "stat": utime and stime)."""
    fields = Path(f"/proc/{process.pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def resident_MB(process: subprocess.Popen[bytes]) -> float:
    """The memory that this process has in use (proc(5), "status")."""
    for line in Path(f"/proc/{process.pid}/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    raise RuntimeError("Linux tells no VmRSS of this process")
