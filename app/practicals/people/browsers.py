"""Browsers in which a teacher signed in before.

Each holds a proof of that, a random secret in a cookie of its own that outlasts the session; the records hold
its digest. It opens nothing: whoever brings it still needs the password, but is not slowed by others' wrong
ones. A browser that several teachers share has one secret for all of them. Every sign-in gives it another
one, so that a copy of the cookie, or a secret that someone put there, is worth nothing afterwards.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from app.practicals.people.credentials import digest, is_possible, new_token
from app.records.models import KnownBrowser

KNOWN_FOR = timedelta(days=90)
"""Since the last sign-in there; longer than a summer holiday (own choice)."""


def known_browser(session: Session, teacher_id: int, proof: str, now: datetime) -> int | None:
    """The row of the browser that holds this proof, if it proves a sign-in of this very teacher."""
    if not is_possible(proof):
        return None
    return session.scalar(
        select(KnownBrowser.id).where(
            KnownBrowser.proof_digest == digest(proof),
            KnownBrowser.teacher_id == teacher_id,
            KnownBrowser.last_sign_in_at > now - KNOWN_FOR,
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
