"""Whether a password can be guessed, by zxcvbn: a guesser begins with what is known of the person."""

from __future__ import annotations

from collections.abc import Iterable

from app.words import N_, Message

LEAST_SCORE = 3
"""Of 0 to 4: "safely unguessable", more than 10^8 guesses (Wheeler, "zxcvbn: low-budget password strength
estimation", USENIX Security 2016)."""
MOST_LOOKED_AT = 72
"""Characters that are looked at: a longer password is as good as its beginning at least."""
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

    known = [
        "plumbfall",
        *{part for text in about for part in (text, *text.replace(".", " ").split()) if part},
    ]
    found = zxcvbn(password[:MOST_LOOKED_AT], user_inputs=known)
    if found["score"] >= LEAST_SCORE:
        return None
    personal = any(match.get("dictionary_name") == "user_inputs" for match in found["sequence"])
    return ABOUT_PERSON if personal else COMMON
