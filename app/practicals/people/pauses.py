"""The pauses that wrong sign-ins earn.

Wrong attempts are counted in the records for a name from an address, and apart for each browser that signed
in under that name before, so that nobody else's slow it. One wrong password over many names is counted for
its address, and for all addresses together. That count stays in the memory of this process, under a key that
no other has: no digest of a password is written anywhere, for a wrong one is often a right one with a slip.
"""

from __future__ import annotations

import hashlib
import secrets
import threading
from collections import OrderedDict
from dataclasses import dataclass
from datetime import datetime

from app.practicals.people import credentials
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import CLOCKS_APART, FAILURES_KEPT, attempt_subject
from app.practicals.people.log import note_failed_sign_in
from app.records.engine import Database

FREE_FAILURES = 5
LONGEST_PAUSE_SECONDS = 30
FREE_FROM_ANYWHERE = 20
"""Of one password under any name from any address (own choice)."""
MOST_PASSWORDS_KEPT = 10_000
"""A count's memory; each costs whoever fills it a hash (own choice)."""


@dataclass(frozen=True)
class Failed:
    """How often something failed, and when it last did."""

    times: int = 0
    last: datetime | None = None

    def seconds_left(self, now: datetime, free: int = FREE_FAILURES) -> float:
        """How long the pause still is; none before `free` failures, then 2, 4, 8 … 30 s from the last one."""
        if self.last is None or self.times < free or self.last > now + CLOCKS_APART:
            return 0
        pause: int = min(LONGEST_PAUSE_SECONDS, 2 ** min(self.times - free + 1, 10))
        return min(pause, pause - (now - self.last).total_seconds())


class WrongPasswords:
    """Wrong passwords, whatever name they were tried with; each is forgotten an hour after its last try."""

    def __init__(self) -> None:
        self._key = secrets.token_bytes(32)
        self._failed: OrderedDict[bytes, Failed] = OrderedDict()
        self._lock = threading.Lock()

    def seconds_left(self, address: str, password: str, now: datetime) -> float:
        """How long this password is not looked at."""
        with self._lock:
            counts = [
                (self._failed.get(subject, Failed()), free)
                for subject, free in self._subjects(address, password)
            ]
        return max(failed.seconds_left(now, free) for failed, free in counts)

    def note(self, address: str, password: str, now: datetime) -> None:
        """Count one failure, and forget the oldest where there are too many."""
        with self._lock:
            for subject, _ in self._subjects(address, password):
                before = self._failed.pop(subject, Failed())
                recent = before.last is not None and abs(now - before.last) < FAILURES_KEPT
                self._failed[subject] = Failed(before.times + 1 if recent else 1, now)
            while len(self._failed) > MOST_PASSWORDS_KEPT:
                self._failed.popitem(last=False)

    def _subjects(self, address: str, password: str) -> list[tuple[bytes, int]]:
        return [
            (self._digest("from", address, password), FREE_FAILURES),
            (self._digest("from anywhere", password), FREE_FROM_ANYWHERE),
        ]

    def _digest(self, *parts: str) -> bytes:
        text = "\x1f".join(parts).encode("utf-8", "surrogatepass")
        return hashlib.blake2b(text, key=self._key, digest_size=16).digest()


WRONG_PASSWORDS = WrongPasswords()


@dataclass(frozen=True)
class Attempt:
    """One attempt at a password. A wrong one counts under `subject`, and with `any_name` (the browser is not
    tied to one) under the password too."""

    subject: str
    password: str
    address: str
    any_name: bool

    @classmethod
    def to_sign_in(cls, login: str, password: str, address: str, known_browser: int | None) -> Attempt:
        """Under a name, from an address, or from a browser that is known for this name."""
        if known_browser is None:
            return cls(attempt_subject("sign-in", login, address), password, address, any_name=True)
        subject = attempt_subject("sign-in of a known browser", str(known_browser))
        return cls(subject, password, address, any_name=False)

    @classmethod
    def at_own_password(cls, teacher_id: int, password: str) -> Attempt:
        """By someone who is signed in, perhaps at a machine that was left open."""
        return cls(attempt_subject("own password", str(teacher_id)), password, "", any_name=False)

    @classmethod
    def at_code(cls, teacher_id: int) -> Attempt:
        """At the code of a second step, by someone who knows the password."""
        return cls(attempt_subject("second step", str(teacher_id)), "", "", any_name=False)

    @classmethod
    def at_first_code(cls) -> Attempt:
        """At the code on the server's console, by anybody: it makes the first head."""
        return cls(attempt_subject("first head"), "", "", any_name=False)

    def seconds_left(self, database: Database, now: datetime) -> float:
        """How long the pause still is that earlier ones earned."""
        with database.reading() as session:
            left = Failed(*credentials.failures(session, self.subject, now)).seconds_left(now)
        if self.any_name:
            left = max(left, WRONG_PASSWORDS.seconds_left(self.address, self.password, now))
        return left

    def note_failure(self, database: Database, now: datetime, person: TeacherIdentity | None) -> None:
        """This one was wrong; `person` is whose account it was tried at, if there is one."""
        with database.writing() as session:
            credentials.note_failure(session, self.subject, now)
            if person is not None:
                note_failed_sign_in(session, person, now)
        if self.any_name:
            WRONG_PASSWORDS.note(self.address, self.password, now)
