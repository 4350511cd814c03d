"""Passwords: whether one can be guessed, their Argon2id hashes, and the short queue in front of them.

A hash costs memory and a processor for a moment, and whoever waits for one holds a thread of the server. So
few are made at once, few more wait, and the next one is asked to try again: a flood of sign-ins leaves
processors, memory and threads to the benches. Browsers that signed in before have a short queue of their own
as well.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from app.practicals.people.credentials import new_token
from app.records.errors import Problem
from app.words import N_, Message

HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)  # OWASP's floor for Argon2id
LONGEST_PASSWORD = 200
PLACES, AT_ONCE = 9, 2
"""In the queue for anyone: with hashes of a few hundredths of a second, nobody waits long (own choice)."""
KNOWN_PLACES, KNOWN_AT_ONCE = 3, 1
"""In the queue that strangers cannot fill; a server of two or three threads has none (own choice)."""

LEAST_SCORE = 3
"""Of 0 to 4: "safely unguessable", more than 10^8 guesses (Wheeler, "zxcvbn: low-budget password strength
estimation", USENIX Security 2016)."""
MOST_LOOKED_AT = 72
"""Characters that are looked at: a longer password is as good as its beginning at least."""
LEAST_BESIDE = 8
"""Letters and digits that a password with a known word in it must have beside it (own choice)."""
COMMON = Message(
    N_(
        "This password is one of the first that somebody would try. Take three or four words that have"
        " nothing to do with each other."
    )
)
ABOUT_PERSON = Message(
    N_(
        "This password is made of a name, the sign-in name or the department, which others know. Take three"
        " or four words that have nothing to do with each other or with you."
    )
)


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


def why_guessable(password: str, about: Iterable[str]) -> Message | None:
    """A sentence for a password that is soon guessed by somebody who knows the texts `about` the person; None
    for a good one. zxcvbn judges it: a guesser begins with what is known of the person."""
    from zxcvbn import zxcvbn  # noqa: PLC0415 - its word lists take a tenth of a second and 30 MB

    known = sorted({"plumbfall", *(word for text in about for word in re.split(r"\W+", text.casefold()))})
    if _beside(password, known) < LEAST_BESIDE:
        return ABOUT_PERSON
    found = zxcvbn(password[:MOST_LOOKED_AT], user_inputs=[word for word in known if word])
    if found["score"] >= LEAST_SCORE:
        return None
    personal = any(match.get("dictionary_name") == "user_inputs" for match in found["sequence"])
    return ABOUT_PERSON if personal else COMMON


def _beside(password: str, known: list[str]) -> int:
    """Letters and digits that stand beside known words; to zxcvbn two of these and a space are much."""
    rest = password.casefold()
    if not any(len(word) > 2 and word in rest for word in known):
        return LEAST_BESIDE
    for word in sorted(known, key=len, reverse=True):
        if len(word) > 2:
            rest = rest.replace(word, " ")
    return sum(character.isalnum() for character in rest)
