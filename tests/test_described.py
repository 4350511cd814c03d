"""Everything a person can set or call is described in the README."""

from __future__ import annotations

import re
from pathlib import Path

import click

from app.cli import commands

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_every_command_is_described() -> None:
    for name in commands.commands:
        assert f"`plumbfall {name}`" in README


def test_every_setting_is_described() -> None:
    read = set(
        re.findall(
            r"\b(?:PLUMBFALL_[A-Z_]+|DATABASE_URL)\b",
            (ROOT / "app" / "settings.py").read_text(encoding="utf-8"),
        )
    )
    assert read
    for name in read:
        assert f"`{name}`" in README


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    first = README.split("\n\n")[1]
    for word in ("shot", "tube", "phone", "interval", "teacher", "department"):
        assert word in first


def test_every_command_has_a_help_sentence() -> None:
    for command in commands.commands.values():
        assert isinstance(command, click.Command)
        assert command.help
