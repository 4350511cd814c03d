"""`plumbfall doctor --phones`: what this machine knows of the way for phones, and what to try with one."""

from __future__ import annotations

import shutil

import click

from app.reach.diagnosis import Verdict, diagnose, findings
from app.reach.steps import AFTERWARDS, steps, ways_out
from app.settings import Settings

MARKS = {Verdict.GOOD: "ok ", Verdict.OPEN: "?  ", Verdict.BAD: "BAD"}


WIDEST = 100
"""So wide that lines are still read with ease: our own choice."""


def say_about_phones(settings: Settings) -> None:
    """Print what was found, the steps and the ways out. Raises `ClickException` where a finding is bad."""
    seen = diagnose(settings)
    found = findings(seen)
    for one in found:
        text = f"{one.value}: {one.text}" if one.value else str(one.text)
        _say(text, f"{MARKS[one.verdict]}  {one.subject!s:<24} ", " " * 30)
        for command in one.commands:
            click.echo(f"{'':<30}{command}")
    click.echo("\nWhether a phone gets through, only a phone can tell:")
    for number, step in enumerate(steps(seen), 1):
        click.echo()
        _say(str(step.do), f"{number}. ", "   ")
        for outcome in step.outcomes:
            _say(str(outcome.seen), "   - ", "     ")
            _say(str(outcome.means), "       ", "       ")
    click.echo("\nWays out where the network keeps phones away:\n")
    for way in ways_out(seen):
        _say(str(way), "   - ", "     ")
    click.echo()
    _say(str(AFTERWARDS))
    if any(one.verdict is Verdict.BAD for one in found):
        raise click.ClickException("something above keeps phones away.")


def _say(text: str, first: str = "", further: str = "") -> None:
    width = min(WIDEST, shutil.get_terminal_size().columns)
    click.echo(click.wrap_text(text, width, first, further))
