"""What a phone's first page does not wait for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from app.records.migrate import open_database

ROOT = Path(__file__).resolve().parent.parent.parent
PROGRAM = """
import sys
HEAVY = {"alembic", "fpdf", "matplotlib", "numpy", "pandas", "psycopg", "scipy", "xlsxwriter"}
from app import create_app
from app.records.migrate import open_database
from app.settings import Settings
settings = Settings.from_environment()
open_database(settings.database_url).close()
assert create_app(settings).test_client().get("/").status_code == 200
print(sorted(HEAVY & set(sys.modules)))
"""


def test_the_first_page_loads_no_heavy_library(tmp_path: Path) -> None:
    open_database(f"sqlite:///{tmp_path / 'plumbfall.db'}").close()  # tables are made but once
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
