"""The commands, called in this process or in one of their own.

`called` runs the entry point with its own streams, environment and folder: what a command says and the status
that it ends with, without the second that an interpreter takes to start. `by_shell` is the shell's way; each
command has a test that goes it.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
from contextlib import chdir, redirect_stderr, redirect_stdout
from pathlib import Path
from unittest.mock import patch

from app.cli import main
from tests.serving import ROOT, free_port

COMMAND = [sys.executable, "-c", "from app.cli import main; main()"]

Done = subprocess.CompletedProcess[str]


def environment(folder: Path, **extra: str) -> dict[str, str]:
    """This environment with records below `folder` and a port of its own."""
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("PLUMBFALL_", "DATABASE_"))
    }
    return {
        **kept,
        "LC_ALL": "C.UTF-8",
        "PYTHONPATH": str(ROOT),
        "PLUMBFALL_DATA": str(folder / "data"),
        "PLUMBFALL_PORT": str(free_port()),
        **extra,
    }


def by_shell(folder: Path, *arguments: str, typed: str | bytes = b"", **extra: str) -> Done:
    """The command in a process of its own, as a shell in `folder` runs it."""
    done = subprocess.run(
        [*COMMAND, *arguments],
        cwd=folder,
        env=environment(folder, **extra),
        capture_output=True,
        check=False,
        input=_bytes(typed),
        timeout=60,
    )
    return Done(list(arguments), done.returncode, done.stdout.decode(), done.stderr.decode())


def called(folder: Path, *arguments: str, typed: str | bytes = b"", **extra: str) -> Done:
    """The same in this process. What a command does not expect is raised, as in its own process."""
    said, problems = _stream(), _stream()
    with (
        patch.dict(os.environ, environment(folder, **extra), clear=True),
        patch.object(sys, "stdin", _stream(_bytes(typed))),
        chdir(folder),
        redirect_stdout(said),
        redirect_stderr(problems),
    ):
        status: int | str | None = 0
        try:
            main(arguments)
        except SystemExit as end:
            status = end.code
    assert isinstance(status, int), status
    return Done(list(arguments), status, _text(said), _text(problems))


def _bytes(typed: str | bytes) -> bytes:
    return typed.encode() if isinstance(typed, str) else typed


def _stream(content: bytes = b"") -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO(content), encoding="utf-8", write_through=True)


def _text(stream: io.TextIOWrapper) -> str:
    stream.seek(0)
    return stream.read()
