"""What the README and the command line say first; the guide describes the rest (tests/web/guide)."""

from __future__ import annotations

from pathlib import Path

import click

from app.cli import commands

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    first = README.split("\n\n")[1]
    for word in ("shot", "tube", "phone", "interval", "teacher", "department"):
        assert word in first


def test_every_command_has_a_help_sentence() -> None:
    for command in commands.commands.values():
        assert isinstance(command, click.Command)
        assert command.help
