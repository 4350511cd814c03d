"""`plumbfall doctor --phones`, line by line."""

from __future__ import annotations

import os

import click
import pytest

from app import cli_phones
from app.cli_phones import say_about_phones
from app.reach.diagnosis import Finding, Verdict
from app.reach.steps import Outcome, Step
from app.settings import Settings
from app.words import Message

GOOD = Finding(Message("Made up"), Message("It stands well."))
OPEN = Finding(
    Message("The wall of fire"),
    Message("It may keep phones away."),
    Verdict.OPEN,
    commands=("open it", "see"),
)
BAD = Finding(
    Message("Address"), Message("No phone finds this computer there."), Verdict.BAD, value="http://x:1"
)
STEPS = (
    Step(
        Message("Look at the phone."),
        (
            Outcome(Message("It has the network."), Message("Go on.")),
            Outcome(Message("It has another one."), Message("Change it.")),
        ),
    ),
    Step(Message("Open the address that this computer shows below the code, and wait.")),
)
WAYS = (Message("Another network."), Message("A cable from this computer to the box that makes the network."))
SAID = """\
ok   Made up                  It stands well.
?    The wall of fire         It may keep phones away.
                              open it
                              see
BAD  Address                  http://x:1: No phone finds
                              this computer there.

Whether a phone gets through, only a phone can tell:

1. Look at the phone.
   - It has the network.
       Go on.
   - It has another one.
       Change it.

2. Open the address that this computer shows below the code,
   and wait.

Ways out where the network keeps phones away:

   - Another network.
   - A cable from this computer to the box that makes the
     network.

Look again tomorrow.
"""


@pytest.fixture(autouse=True)
def _made_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cli_phones, "diagnose", lambda _settings: None)
    monkeypatch.setattr(cli_phones, "steps", lambda _seen: STEPS)
    monkeypatch.setattr(cli_phones, "ways_out", lambda _seen: WAYS)
    monkeypatch.setattr(cli_phones, "AFTERWARDS", Message("Look again tomorrow."))


def columns(monkeypatch: pytest.MonkeyPatch, wide: int) -> None:
    size = os.terminal_size((wide, 24))
    monkeypatch.setattr("app.cli_phones.shutil.get_terminal_size", lambda: size)


def test_findings_steps_and_ways_out_are_set_in_columns(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    columns(monkeypatch, 60)
    monkeypatch.setattr(cli_phones, "findings", lambda _seen: [GOOD, OPEN, BAD])
    with pytest.raises(click.ClickException, match=r"^something above keeps phones away\.$"):
        say_about_phones(Settings.from_environment({}))
    assert capsys.readouterr().out == SAID


@pytest.mark.parametrize("wide", [100, 240])
def test_what_keeps_no_phone_away_is_no_failure_and_no_line_is_wider_than_a_hundred(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], wide: int
) -> None:
    columns(monkeypatch, wide)
    long = Finding(Message("Long"), Message(" ".join(["seventy"] * 30)), Verdict.OPEN)
    monkeypatch.setattr(cli_phones, "findings", lambda _seen: [GOOD, long])
    say_about_phones(Settings.from_environment({}))
    words = [line for line in capsys.readouterr().out.splitlines() if "seventy" in line]
    assert {len(line) for line in words[:-1]} == {93}, "a ninth word of seven letters would end at 101"
