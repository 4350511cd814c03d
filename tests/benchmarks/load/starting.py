"""From the command to the first page, and the memory that a server then has, beside the bare application.

The tables are there already, as they are on every day but the first, and compiled files too.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from tests.benchmarks.load.servers import (
    OURS,
    bare_command,
    processor_seconds,
    resident_MB,
    server_environment,
    wait_for_page,
)
from tests.benchmarks.rows import ROUNDS, Row
from tests.serving import ROOT, free_port


def rows() -> Iterator[Row]:
    """The rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder:
        _started(Path(folder), ours=True)
        _started(Path(folder), ours=False)
        taken = [
            (_started(Path(folder), ours=True), _started(Path(folder), ours=False)) for _ in range(ROUNDS)
        ]
    for place, (what, unit, aim) in enumerate(
        (
            ("start to first page", "s", "1.5"),
            ("  its processor time", "s", ""),
            ("idle memory", "MB", "1.5"),
        )
    ):
        pairs = [(own[place], bare[place]) for own, bare in taken]
        ours, theirs = (median(side) for side in zip(*pairs, strict=True))
        ratio = median(own / other for own, other in pairs)
        yield Row(what, "the bare app", ours, theirs, unit, ratio, aim, ROUNDS)


def _started(folder: Path, *, ours: bool) -> tuple[float, float, float]:
    """Seconds to the first page, processor seconds until then, and megabytes a moment later."""
    port = free_port()
    environment = server_environment()
    if ours:
        command = [sys.executable, "-c", OURS]
        environment |= {
            "PLUMBFALL_DATA": str(folder),
            "PLUMBFALL_HOST": "127.0.0.1",
            "PLUMBFALL_PORT": str(port),
        }
    else:
        command = bare_command(port, f"sqlite:///{folder / 'bare.db'}")
    began = time.perf_counter()
    process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL)
    try:
        wait_for_page(f"http://127.0.0.1:{port}{'/' if ours else '/first'}")
        taken, spent = time.perf_counter() - began, processor_seconds(process)
        time.sleep(1)
        return taken, spent, resident_MB(process)
    finally:
        process.terminate()
        process.wait(timeout=20)
