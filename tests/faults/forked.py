"""Real servers, each a process of its own, forked at once from one that has loaded the program."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.serving import ROOT, free_port

PROGRAM = """
import json, os, signal, sys, tempfile
from flask import Flask
from jinja2 import FileSystemBytecodeCache
from app import create_app
from app.serving import serve
from app.settings import Settings

def forked(change):
    server = os.fork()
    if server == 0:
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        os.environ.update(change)
        settings = Settings.from_environment()
        try:
            serve(create_app(settings), settings)
        finally:
            os._exit(0)
    return server

with tempfile.TemporaryDirectory() as folder:
    templates = FileSystemBytecodeCache(folder)  # compiled once for all servers
    Flask.jinja_options = {**Flask.jinja_options, "bytecode_cache": templates}
    create_app(Settings.from_environment({"PLUMBFALL_DATA": folder}))  # the first of a process loads much
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for one that was killed
    for line in sys.stdin:
        print(forked(json.loads(line)), flush=True)
"""


@dataclass
class Forked:
    """A running server."""

    address: str
    pid: int

    def kill(self) -> None:
        """End it without warning (`kill -9`), and wait until it is gone."""
        os.kill(self.pid, signal.SIGKILL)
        self.wait()

    def end(self) -> None:
        """Ask it to end, and wait."""
        try:
            os.kill(self.pid, signal.SIGTERM)
        except ProcessLookupError:
            return
        self.wait()

    def wait(self) -> None:
        """Until the process is no more."""
        for _ in range(2000):
            if not Path(f"/proc/{self.pid}").exists():
                return
            time.sleep(0.01)
        raise RuntimeError("the server did not end within 20 s")

    def says_ready(self) -> bool:
        """What `/ready` answers."""
        try:
            with urllib.request.urlopen(f"{self.address}/ready", timeout=20) as answer:
                return bool(answer.status == 200)
        except urllib.error.HTTPError as refusal:
            if refusal.code != 503:
                raise
            return False


class Nursery:
    """The process that the servers are forked from."""

    def __init__(self, **environment: str) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM],
            cwd=ROOT,
            env={**os.environ, **environment},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def start(self, folder: Path, database_url: str, port: int, **environment: str) -> Forked:
        """A server on this database, once it answers."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        settings = {
            "PLUMBFALL_DATA": str(folder),
            "DATABASE_URL": database_url,
            "PLUMBFALL_HOST": "127.0.0.1",
            "PLUMBFALL_PORT": str(port),
            **environment,
        }
        print(json.dumps(settings), file=self._process.stdin, flush=True)
        server = Forked(f"http://127.0.0.1:{port}", int(self._process.stdout.readline()))
        for _ in range(1000):
            try:
                with urllib.request.urlopen(f"{server.address}/health", timeout=20):
                    return server
            except OSError:
                time.sleep(0.02)
        raise RuntimeError("the server did not answer within 20 s")

    @contextmanager
    def serving(self, folder: Path, database_url: str, **environment: str) -> Iterator[Forked]:
        """A server until the block ends."""
        server = self.start(folder, database_url, free_port(), **environment)
        try:
            yield server
        finally:
            server.end()

    def close(self) -> None:
        """No more servers."""
        assert self._process.stdin is not None
        self._process.stdin.close()
        self._process.wait(timeout=20)
        assert self._process.stdout is not None
        self._process.stdout.close()
