"""The application is imported in a fresh process: the tests' own imports come in another order."""

from __future__ import annotations

import subprocess
import sys

from tests.commands import ROOT


def test_the_pages_import_each_other_in_no_circle() -> None:
    command = [sys.executable, "-c", "import app.web.app"]
    assert subprocess.run(command, cwd=ROOT, capture_output=True, text=True).stderr == ""
