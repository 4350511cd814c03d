"""The tests of faults at length: hundreds of kills, tens of thousands of requests; figures at the end.

python -m tests.faults                # all of them
python -m tests.faults killed random  # those whose file's name has one of these words
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from tests.profiles import VARIABLE

HERE = Path(__file__).parent
LOADED_BEFORE = "ignore::pytest.PytestAssertRewriteWarning"
"""Hypothesis, by `tests.profiles`: nothing of it is asserted here."""


class Figures:
    """Prints the lines of figures that the tests told."""

    def __init__(self) -> None:
        self._lines: list[str] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call":
            self._lines += [str(line) for name, line in report.user_properties if name == "figures"]

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        terminalreporter.section("figures")
        for line in self._lines:
            terminalreporter.write_line(line)


def main(words: list[str]) -> int:
    """Run the tests with the long profile; the status to end with."""
    files = [
        str(file)
        for file in sorted(HERE.glob("test_*.py"))
        if not words or any(word in file.name for word in words)
    ]
    if not files:
        print(f"No file in {HERE.name} has one of these words: {' '.join(words)}")
        return 2
    os.environ[VARIABLE] = "long"
    return int(pytest.main(["-q", "-m", "", "-W", LOADED_BEFORE, *files], plugins=[Figures()]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
