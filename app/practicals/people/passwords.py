"""Passwords: their Argon2id hashes, and the short queue in front of them.

A hash costs memory and a processor for a moment, and whoever waits for one holds a thread of the server. So
few are made at once, few more wait, and the next one is asked to try again: a flood of sign-ins leaves
processors, memory and threads to the benches. Browsers that signed in before have a short queue of their own
as well.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from app.practicals.people.credentials import new_token
from app.records.errors import Problem
from app.words import N_

HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)  # OWASP's floor for Argon2id
LONGEST_PASSWORD = 200
PLACES, AT_ONCE = 9, 2
"""In the queue for anyone: with hashes of a few hundredths of a second, nobody waits long (own choice)."""
KNOWN_PLACES, KNOWN_AT_ONCE = 3, 1
"""In the queue that strangers cannot fill; a server of two or three threads has none (own choice)."""


class TooManySigningIn(Problem):
    """The queue is full; nothing was looked at."""

    sentence = N_("Too many people are signing in just now. Try again in a moment.")
    retry_after_seconds = 2


class HashingQueue:
    """A queue with a limited number of places: a few threads hash at once, the others in it wait."""

    def __init__(self, places: int, at_once: int) -> None:
        self._places = threading.BoundedSemaphore(places)
        self._turns = threading.BoundedSemaphore(at_once)

    def enter(self, leave: ExitStack) -> bool:
        """Wait for one's turn, and give it back with `leave`; False where every place is taken."""
        if not self._places.acquire(blocking=False):
            return False
        leave.callback(self._places.release)
        leave.enter_context(self._turns)
        return True

    def is_full(self) -> bool:
        """Whether every place is taken just now."""
        if not self._places.acquire(blocking=False):
            return True
        self._places.release()
        return False


def places_of(threads: int) -> tuple[int, int]:
    """Places for anyone and for known browsers: half of a server's threads at most, but one."""
    known = min(KNOWN_PLACES, threads // 4)
    return min(PLACES, max(1, threads // 2 - known)), known


class Queues:
    """The queue for anyone, and the one for browsers that are known."""

    def __init__(self) -> None:
        self._anyone = HashingQueue(PLACES, AT_ONCE)
        self._known = HashingQueue(KNOWN_PLACES, KNOWN_AT_ONCE)

    def share(self, threads: int) -> None:
        """Make places for a server of so many threads."""
        anyone, known = places_of(threads)
        self._anyone = HashingQueue(anyone, AT_ONCE)
        self._known = HashingQueue(known, KNOWN_AT_ONCE)

    def refuse_when_full(self) -> None:
        """Before anything is looked at for a stranger: a flood costs as little as it can."""
        if self._anyone.is_full():
            raise TooManySigningIn()

    @contextmanager
    def turn(self, known: bool) -> Iterator[None]:
        """While the block runs, this thread may hash. Raises `TooManySigningIn` where no place is left."""
        queues = (self._known, self._anyone) if known else (self._anyone,)
        with ExitStack() as leave:
            if not any(queue.enter(leave) for queue in queues):
                raise TooManySigningIn()
            yield


QUEUES = Queues()


def hash_of(password: str) -> str:
    """The Argon2id hash, for someone who is signed in or looks after the installation."""
    with QUEUES.turn(known=True):
        return HASHER.hash(password)


def matches(stored: str | None, password: str) -> bool:
    """Whether this is the password of that hash; takes as long where there is none. In a `turn` alone."""
    if len(password) > LONGEST_PASSWORD:
        return False
    try:
        return HASHER.verify(stored or _nobodys_hash(), password) and stored is not None
    except (VerificationError, InvalidHashError):
        return False


@cache
def _nobodys_hash() -> str:
    """A hash that no password has, so that an unknown name takes as long as a known one."""
    return HASHER.hash(new_token())
