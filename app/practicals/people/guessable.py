"""Whether a password can be guessed, by zxcvbn: a guesser begins with what is known of the person."""

from __future__ import annotations

import re
from collections.abc import Iterable

from app.words import N_, Message

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


def why_guessable(password: str, about: Iterable[str]) -> Message | None:
    """A sentence for a password that is soon guessed by somebody who knows the texts `about` the person; None
    for a good one."""
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
