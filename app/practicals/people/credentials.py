"""What lets a browser in (tokens, codes, keys), their digests in the records, and failed attempts at them.

Of attempts only failures count; they slow the guesser down, and are forgotten after an hour. A whole school
shares one network address, so a right code always lets in; what many wrong ones earn is a pause before the
next wrong one is answered.

A browser in which a teacher signed in before holds a proof of that, a random secret in a cookie of its own
that outlasts the session. It opens nothing: whoever brings it still needs the password, but is not slowed by
others' wrong ones. A browser that several teachers share has one secret for all of them. Every sign-in gives
it another one, so that a copy of the cookie, or a secret that someone put there, is worth nothing afterwards.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from sqlalchemy import delete, func, select, update
from sqlalchemy.orm import Session

from app.records.models import FailedAttempt, KnownBrowser

# No 0 O 1 I L, no U V and no 2 Z 5 S 8 B: each is misread from a board or misheard across a noisy room.
CODE_ALPHABET = "34679ACDEFGHJKMNPQRTWXY"
CODE_LENGTH = 7
KEY_DIGITS = "23456789"
KEY_LENGTH = 5
LONGEST_TOKEN = 200
FAILURES_KEPT = timedelta(hours=1)
MOST_FAILURES_KEPT = 200
CLOCKS_APART = timedelta(seconds=30)
"""What failed further than this in the future was noted before a clock stepped back, and does not count
(own choice)."""

BROWSER_KNOWN_FOR = timedelta(days=90)
"""Since the last sign-in there; longer than a summer holiday (own choice)."""


def new_token() -> str:
    """A token with 256 bits of chance, for a cookie."""
    return secrets.token_urlsafe(32)


def is_possible(token: str) -> bool:
    """Whether a cookie can be a token of ours at all."""
    return 0 < len(token) <= LONGEST_TOKEN


def digest(token: str) -> str:
    """SHA-256 in hex. A token has full entropy, so a fast digest is enough."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def new_code(length: int, alphabet: str = CODE_ALPHABET) -> str:
    """Characters of an unambiguous alphabet, each drawn by chance."""
    return "".join(secrets.choice(alphabet) for _ in range(length))


def new_join_code() -> str:
    """One of 23⁷, about 3.4 thousand million."""
    return new_code(CODE_LENGTH)


def new_bench_key() -> str:
    """Five easily read digits that let a bench's second phone in (only inside a practical already joined)."""
    return new_code(KEY_LENGTH, KEY_DIGITS)


def tidy_code(typed: str) -> str:
    """A typed code without spaces and hyphens, in capitals. Nothing is guessed."""
    return "".join(character for character in typed[:200] if character.isalnum()).upper()


def attempt_subject(kind: str, *parts: str) -> str:
    """The digest under which attempts of one kind from one place are counted."""
    return digest("\x1f".join((kind, *(part.casefold() for part in parts))))


def failures(
    session: Session, subject_digest: str, now: datetime, within: timedelta = FAILURES_KEPT
) -> tuple[int, datetime | None]:
    """How many failed within that time until now, and when the last one was."""
    wanted = select(func.count(), func.max(FailedAttempt.at)).where(
        FailedAttempt.subject_digest == subject_digest,
        FailedAttempt.at > now - within,
        FailedAttempt.at <= now + CLOCKS_APART,
    )
    row = session.execute(wanted).one()
    return int(row[0]), row[1]


def note_failure(session: Session, subject_digest: str, now: datetime) -> None:
    """Remember one failure; beyond a number that slows down anyway, no more rows are made."""
    session.execute(delete(FailedAttempt).where(FailedAttempt.at < now - FAILURES_KEPT))
    count, _ = failures(session, subject_digest, now)
    if count < MOST_FAILURES_KEPT:
        session.add(FailedAttempt(subject_digest=subject_digest, at=now))


def forget_failures(session: Session, subject_digest: str) -> None:
    """Forget the failures under this subject, after a success."""
    session.execute(delete(FailedAttempt).where(FailedAttempt.subject_digest == subject_digest))


def known_browser(session: Session, teacher_id: int, proof: str, now: datetime) -> int | None:
    """The row of the browser that holds this proof, if it proves a sign-in of this very teacher."""
    if not is_possible(proof):
        return None
    return session.scalar(
        select(KnownBrowser.id).where(
            KnownBrowser.proof_digest == digest(proof),
            KnownBrowser.teacher_id == teacher_id,
            KnownBrowser.last_sign_in_at > now - BROWSER_KNOWN_FOR,
        )
    )


def remember_browser(session: Session, teacher_id: int, earlier_proof: str, now: datetime) -> str:
    """The browser's next proof, for this teacher and for those who had signed in there before."""
    proof = new_token()
    if is_possible(earlier_proof):
        held = KnownBrowser.proof_digest == digest(earlier_proof)
        session.execute(delete(KnownBrowser).where(held, KnownBrowser.teacher_id == teacher_id))
        session.execute(update(KnownBrowser).where(held).values(proof_digest=digest(proof)))
    session.add(KnownBrowser(teacher_id=teacher_id, proof_digest=digest(proof), last_sign_in_at=now))
    return proof


def forget_browsers(session: Session, teacher_id: int) -> None:
    """No browser is known for this teacher any more."""
    session.execute(delete(KnownBrowser).where(KnownBrowser.teacher_id == teacher_id))
