"""What a phone's first page does not wait for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
PROGRAM = """
import sys
from app import create_app
from app.records.migrate import open_database
from app.settings import Settings
settings = Settings.from_environment()
open_database(settings.database_url)
assert create_app(settings).test_client().get("/").status_code == 200
print(sorted({"pandas", "matplotlib", "scipy", "fpdf", "xlsxwriter"} & set(sys.modules)))
"""


def test_the_first_page_loads_no_heavy_library(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        cwd=ROOT,
        env={"PLUMBFALL_DATA": str(tmp_path), "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"
