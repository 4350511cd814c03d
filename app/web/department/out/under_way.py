"""Exports that are being sent by this server: how far each is, and a way to end it.

What is known here is only for whoever waits: with several servers a page may ask one that does not send, and
is told that it does not know.
"""

from __future__ import annotations

import re
import secrets
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeVar

from cachetools import TTLCache

from app.records.errors import Conflict
from app.words import N_

T = TypeVar("T")
MOST_AT_ONCE = 2
"""Exports that one server sends at the same time, so that phones find a free thread (our own choice)."""
REMEMBERED, REMEMBERED_SECONDS = 256, 6 * 3600
TOKEN = re.compile(r"[A-Za-z0-9_-]{16,64}")


class TooManyExports(Conflict):
    """This server sends as many as it may."""

    sentence = N_("Other exports are being made. Try again when one of them is ready.")


class ExportStopped(Exception):
    """Whoever asked for it ended it. The connection is cut: half a file must not look like a whole one."""


class Progress(StrEnum):
    """How far an export is."""

    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"


@dataclass
class UnderWay:
    """One export while it is sent."""

    teacher_id: int
    total: int
    done: int = 0
    progress: Progress = Progress.RUNNING
    stop: bool = False

    def step(self) -> None:
        """One more practical is in it."""
        self.done += 1

    def passing(self, things: Iterator[T]) -> Iterator[T]:
        """The same things, until somebody ends the export."""
        for thing in things:
            if self.stop:
                raise ExportStopped
            yield thing

    def sent(self, pieces: Iterator[bytes]) -> Iterator[bytes]:
        """The same pieces, with a note when the last one has gone."""
        yield from pieces
        self.progress = Progress.DONE

    def end(self) -> None:
        """The answer is closed, whatever became of it."""
        if self.progress is Progress.RUNNING:
            self.progress = Progress.STOPPED


@dataclass
class Exports:
    """Those that this server sends or has sent lately, by the token of the page that asked."""

    by_token: TTLCache[str, UnderWay] = field(
        default_factory=lambda: TTLCache(REMEMBERED, REMEMBERED_SECONDS)
    )
    lock: threading.Lock = field(default_factory=threading.Lock)

    def begin(self, token: str, teacher_id: int, total: int) -> UnderWay:
        """A new one. Raises `TooManyExports`."""
        with self.lock:
            running = sum(one.progress is Progress.RUNNING for one in self.by_token.values())
            same = self.by_token.get(token)
            again = same is not None and same.progress is Progress.RUNNING
            if again or running >= MOST_AT_ONCE:  # one that took another's place would not be counted
                raise TooManyExports()
            begun = UnderWay(teacher_id, total)
            self.by_token[token if TOKEN.fullmatch(token) else secrets.token_urlsafe()] = begun
            return begun

    def of(self, token: str, teacher_id: int) -> UnderWay | None:
        """The teacher's own export of this token, where this server knows it."""
        with self.lock:
            found = self.by_token.get(token)
        return found if found is not None and found.teacher_id == teacher_id else None


EXPORTS = Exports()
