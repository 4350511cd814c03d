"""Tests run in a copy of the tree with one fault in it, however busy the machine is.

They run once without a fault, to note which tests run which lines. What bounds a run is the processor time
that the same tests took then, which does not depend on who else is using the machine. A second bound, on the
clock, is for a run that waits for what never comes.
"""

from __future__ import annotations

import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from tests.mutants.faults import Fault
from tests.mutants.noted import FOLDER, Noted, Taken

LEFT_OUT = shutil.ignore_patterns(
    ".git", ".venv", "__pycache__", ".hypothesis", ".*_cache", "*.egg-info", "instance"
)
# Our own choice: twice and a little is slower code; ten times, also on a busy machine, is a loop.
CPU_TIMES, CPU_MORE_S = 3.0, 30
CLOCK_TIMES, CLOCK_MORE_S = 10.0, 300
NO_TESTS = 5
ASKED_FOR = "tests-asked-for.txt"


class Outcome(StrEnum):
    """What became of a fault."""

    NOTICED = "noticed"
    TOO_LONG = "too long"
    NOT_NOTICED = "NOT NOTICED"


@dataclass(frozen=True)
class Bounds:
    """How long tests may run, in seconds of the processor and of the clock."""

    cpu_s: int
    clock_s: float


FIRST_RUN = Bounds(3600, 3600)


class FailsAnyway(Exception):
    """Without any fault the tests fail, are not there or do not end; the text is what they printed."""


@contextmanager
def copy_of(root: Path) -> Iterator[Path]:
    """A copy of the tree, gone afterwards, also when the process is asked to end."""
    previous = signal.signal(signal.SIGTERM, lambda number, _frame: sys.exit(128 + number))
    try:
        with tempfile.TemporaryDirectory(prefix="mutants") as folder:
            tree = Path(folder) / "tree"
            shutil.copytree(root, tree, ignore=LEFT_OUT)
            yield tree
    finally:
        signal.signal(signal.SIGTERM, previous)


def noted_without_a_fault(tree: Path, tests: list[str]) -> Noted:
    """Run the tests as they are and note what they run. Raises FailsAnyway where they do not pass."""
    with tempfile.TemporaryDirectory(prefix="noted") as folder:
        try:
            status, said = _run(tree, tests, FIRST_RUN, "-p", "tests.mutants.noted", noted_in=folder)
        except subprocess.TimeoutExpired as error:
            raise FailsAnyway(f"{' '.join(tests)} did not end within an hour") from error
        if status != 0:
            raise FailsAnyway("no tests" if status == NO_TESTS else said)
        return Noted(Path(folder), tree)


def bounds(taken: Taken) -> Bounds:
    """How long tests may run that took so long without a fault."""
    return Bounds(int(CPU_TIMES * taken.cpu_s) + CPU_MORE_S, CLOCK_TIMES * taken.clock_s + CLOCK_MORE_S)


def outcome(tree: Path, fault: Fault, tests: list[str], bounds: Bounds) -> Outcome:
    """What the tests make of the copy with this fault in it; the copy is mended afterwards."""
    file = tree / fault.path
    text = file.read_text(encoding="utf-8")
    file.write_text(fault.planted_in(text), encoding="utf-8")
    try:
        status, _ = _run(tree, tests, bounds)
    except subprocess.TimeoutExpired:
        return Outcome.TOO_LONG
    finally:
        file.write_text(text, encoding="utf-8")
    if status in (-signal.SIGXCPU, -signal.SIGKILL):
        return Outcome.TOO_LONG
    return Outcome.NOTICED if status else Outcome.NOT_NOTICED


def _run(tree: Path, tests: list[str], bounds: Bounds, *options: str, noted_in: str = "") -> tuple[int, str]:
    """pytest's status in the copy (0 passed, 1 failed, 2 or 4 an import that breaks) and its last words."""
    asked = tree / ASKED_FOR
    asked.write_text("\n".join(tests), encoding="utf-8")
    options = ("-q", "-x", "-n", "0", "-p", "no:cacheprovider", *options)
    command = [sys.executable, "-m", "pytest", *options, f"@{asked}"]
    environment = {
        **os.environ,
        "HYPOTHESIS_PROFILE": "unshrunk",
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYTHONPATH": str(tree),
        FOLDER: noted_in,
    }
    limit = (bounds.cpu_s, bounds.cpu_s + CPU_MORE_S)
    with subprocess.Popen(
        command,
        cwd=tree,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, limit),
    ) as tests_run:
        try:
            said, _ = tests_run.communicate(timeout=bounds.clock_s)
        finally:
            with suppress(ProcessLookupError):  # a server that a test left behind goes too
                os.killpg(tests_run.pid, signal.SIGKILL)
    return tests_run.returncode, said[-3000:]
