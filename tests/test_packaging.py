"""The wheel carries everything: it serves pages from any folder, without a checkout."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.long
ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(folder), str(ROOT)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return next(folder.glob("plumbfall-*.whl"))


def test_the_wheel_carries_every_template_static_file_and_migration(wheel: Path) -> None:
    inside = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("templates", "static", "migrations"):
        for path in (ROOT / folder).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                assert f"app/bundled/{path.relative_to(ROOT).as_posix()}" in inside
    recipes = [path for path in (ROOT / "app" / "recipes").iterdir() if path.is_file()]
    for path in [*(ROOT / "app" / "translations").rglob("*.po"), *recipes]:
        assert path.relative_to(ROOT).as_posix() in inside


def test_the_wheel_carries_no_tests_and_no_database(wheel: Path) -> None:
    for name in zipfile.ZipFile(wheel).namelist():
        assert not name.startswith("tests/")
        assert not name.endswith((".db", ".pyc"))


def test_the_unpacked_wheel_answers_its_first_page_from_another_folder(wheel: Path, tmp_path: Path) -> None:
    zipfile.ZipFile(wheel).extractall(tmp_path / "site")
    (tmp_path / "elsewhere").mkdir()
    program = (
        "import app; from app.settings import Settings; from app.records.migrate import open_database\n"
        "settings = Settings.from_environment(); open_database(settings.database_url)\n"
        "client = app.create_app(settings).test_client()\n"
        "assert app.__file__.startswith(__import__('os').environ['SITE']), app.__file__\n"
        "page = client.get('/'); assert page.status_code == 200, page.status\n"
        "for file in ('css/for-desk.css', 'fonts/plumb-text-400.woff2'):\n"
        "    answer = client.get('/static/' + file); assert answer.status_code == 200, answer.status\n"
        "from app.look.faces import FACES; assert all(face.ttf.is_file() for face in FACES)\n"
    )
    done = subprocess.run(
        [sys.executable, "-P", "-c", program],
        cwd=tmp_path / "elsewhere",
        env={
            "PYTHONPATH": str(tmp_path / "site"),
            "SITE": str(tmp_path / "site"),
            "PLUMBFALL_DATA": str(tmp_path / "data"),
            "PATH": "",
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
