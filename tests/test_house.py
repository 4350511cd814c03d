"""The rules of the house: layers, lint, types, sizes, and nothing undescribed."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PYTHON_FILES = sorted(
    path for folder in ("app", "tests", "migrations") for path in (ROOT / folder).rglob("*.py")
)
HANDMADE = [  # a released migration is one piece, however long
    *(path for path in PYTHON_FILES if "migrations" not in path.parts),
    *sorted((ROOT / "templates").rglob("*.html")),
    *sorted((ROOT / "static").rglob("*.js")),
    *sorted((ROOT / "static").rglob("*.css")),
]


def _run(*arguments: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_imports_point_down_only() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_ruff_finds_nothing() -> None:
    _run("ruff", "check", "app", "tests", "migrations")


def test_the_code_is_formatted() -> None:
    _run("ruff", "format", "--check", "app", "tests", "migrations")


@pytest.mark.long
def test_mypy_finds_nothing() -> None:
    _run("mypy")


def test_no_file_is_longer_than_one_idea() -> None:
    lengths = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8").count("\n") for path in HANDMADE}
    too_long = {name: lines for name, lines in lengths.items() if lines > 300}
    assert not too_long, f"Is each of these one idea? {too_long}"


@pytest.mark.parametrize("package", ["physics", "statistics", "analysis"])
def test_the_pure_parts_read_no_clock_no_file_and_no_global_chance(package: str) -> None:
    forbidden = re.compile(
        r"^\s*(import|from) (time|os|random|pathlib|datetime|socket)\b"
        r"|\bopen\(|np\.random\.(seed|rand|normal|random)\b",
        re.MULTILINE,
    )
    for path in sorted((ROOT / "app" / package).rglob("*.py")):
        found = forbidden.search(path.read_text(encoding="utf-8"))
        assert found is None, f"{path.name}: {found and found.group(0)!r}"


def test_no_page_carries_inline_script_or_style() -> None:
    inline = re.compile(
        r"<style|\sstyle=|\son[a-z]+=[\"']|<script(?![^>]*\bsrc=)[^>]*>|javascript:", re.IGNORECASE
    )
    for path in sorted((ROOT / "templates").rglob("*.html")):
        found = inline.search(path.read_text(encoding="utf-8"))
        assert found is None, f"{path.relative_to(ROOT)}: {found and found.group(0)!r}"


def test_no_page_asks_a_third_party_for_anything() -> None:
    outside = re.compile(r"(src|href|action)=[\"'](https?:)?//", re.IGNORECASE)
    for path in sorted((ROOT / "templates").rglob("*.html")):
        assert outside.search(path.read_text(encoding="utf-8")) is None, path.relative_to(ROOT)


def test_readings_are_never_asked_for_with_a_number_field() -> None:
    for path in sorted((ROOT / "templates").rglob("*.html")):
        assert 'type="number"' not in path.read_text(encoding="utf-8"), path.relative_to(ROOT)
