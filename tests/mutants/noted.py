"""Which tests run which lines of the program, and how long each takes: noted once, without a fault.

Coverage.py measures the lines. This module is also the plugin of the pytest that is measured
(`-p tests.mutants.noted`); it names the test that runs, fixtures and all. What a test has done by another
process is not seen.
"""

from __future__ import annotations

import json
import os
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import coverage
import pytest

from tests.mutants.faults import Fault

FOLDER = "PLUMBFALL_NOTED_IN"
"""The environment names the folder in which a measured run leaves what it found."""
LINES, TIMES = "lines", "times.jsonl"


@dataclass(frozen=True)
class Taken:
    """What tests took, in seconds of the processor and of the clock."""

    cpu_s: float
    clock_s: float


class Noted:
    """What a measured run of tests left in a folder."""

    def __init__(self, folder: Path, root: Path) -> None:
        lines = (folder / TIMES).read_text(encoding="utf-8").splitlines()
        self._taken = {test: Taken(cpu_s, clock_s) for test, cpu_s, clock_s in map(json.loads, lines)}
        data = coverage.CoverageData(str(folder / LINES))
        data.read()
        self._runs: dict[str, dict[int, list[str]]] = defaultdict(dict)
        for file in data.measured_files():
            self._runs[Path(file).relative_to(root).as_posix()] = data.contexts_by_lineno(file)

    def tests_that_run(self, fault: Fault) -> list[str]:
        """The tests that run the fault's statement, the quickest first.

        Where that runs on import, no test is seen to run it: those that run anything of its module.
        """
        lines = self._runs[fault.path]
        statement = lines if fault.statement is None else fault.statement
        tests = {test for line in statement for test in lines.get(line, ()) if test}
        return sorted(tests, key=lambda test: (self._taken[test].cpu_s, test))

    def taken(self, tests: list[str]) -> Taken:
        """What these tests, or those in these files and folders, took together."""
        named = set(tests)
        below = tuple(f"{one.removesuffix('/')}/" for one in tests) + tuple(f"{one}::" for one in tests)
        each = [taken for test, taken in self._taken.items() if test in named or test.startswith(below)]
        return Taken(sum(one.cpu_s for one in each), sum(one.clock_s for one in each))


_measured: coverage.Coverage | None = None


def pytest_configure() -> None:
    """Begin to measure."""
    global _measured
    _measured = coverage.Coverage(
        data_file=str(Path(os.environ[FOLDER]) / LINES),
        source=["app"],
        messages=False,
    )
    _measured.set_option(
        "run:disable_warnings", ["module-not-measured", "module-not-imported", "no-data-collected"]
    )
    _measured.start()


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """What runs from here on runs for this test."""
    assert _measured is not None
    _measured.switch_context(item.nodeid)
    cpu, clock = time.process_time(), time.monotonic()
    result = yield
    taken = [item.nodeid, time.process_time() - cpu, time.monotonic() - clock]
    with (Path(os.environ[FOLDER]) / TIMES).open("a", encoding="utf-8") as lines:
        lines.write(f"{json.dumps(taken)}\n")
    _measured.switch_context("")
    return result


def pytest_unconfigure() -> None:
    """Keep what was measured."""
    if _measured is not None:
        _measured.stop()
        _measured.save()
