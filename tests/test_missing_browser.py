"""On a machine without Chromium the tests pass, and say which of them were not run."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
ONE_THAT_NEEDS_IT = "tests/browser/test_one_class.py"


def run_pytest(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    kept = {
        name: value
        for name, value in os.environ.items()
        if name not in ("CI", "PLUMBFALL_CHROMIUM") and not name.startswith("PYTEST_")
    }
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *arguments, ONE_THAT_NEEDS_IT],
        cwd=ROOT,
        env=kept | environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


@pytest.mark.parametrize("processes", ["0", pytest.param("1", marks=pytest.mark.long)])
def test_without_a_browser_its_tests_are_counted_in_the_last_line_and_the_run_passes(
    tmp_path: Path, processes: str
) -> None:
    done = run_pytest("-n", processes, PATH=str(tmp_path))
    assert done.returncode == 0, done.stdout + done.stderr
    *_, said = [line for line in done.stdout.splitlines() if "browser tests not run" in line]
    (skipped,) = re.findall(r"(\d+) skipped", done.stdout)
    assert said == (
        f"browser tests not run: {skipped}; install Chromium, "
        "or set PLUMBFALL_CHROMIUM to a Chromium that is elsewhere"
    )
    assert int(skipped) > 0


@pytest.mark.long
def test_where_nothing_may_be_skipped_a_missing_browser_fails_and_is_named(tmp_path: Path) -> None:
    missing = str(tmp_path / "no-such-browser")
    done = run_pytest("-n", "0", CI="true", PLUMBFALL_CHROMIUM=missing)
    assert done.returncode == 1, done.stdout + done.stderr
    assert f"PLUMBFALL_CHROMIUM is {missing}" in done.stdout
    assert "skipped" not in done.stdout
