"""Failed attempts: only failures count, they slow the guesser down, and they are forgotten after an hour.

A whole school shares one network address, so a right code always lets in; what many wrong codes
earn is a pause before the next wrong one is answered.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from app.practicals.people.tokens import digest
from app.records.models import FailedAttempt

KEPT = timedelta(hours=1)
MOST_KEPT = 200


def subject(kind: str, *parts: str) -> str:
    """The digest under which attempts of one kind from one place are counted."""
    return digest("\x1f".join((kind, *(part.casefold() for part in parts))))


def failures(session: Session, subject_digest: str, since: datetime) -> tuple[int, datetime | None]:
    """How many failed since then, and when the last one was."""
    row = session.execute(
        select(func.count(), func.max(FailedAttempt.at)).where(
            FailedAttempt.subject_digest == subject_digest, FailedAttempt.at > since
        )
    ).one()
    return int(row[0]), row[1]


def note_failure(session: Session, subject_digest: str, now: datetime) -> None:
    """Remember one failure; beyond a number that slows down anyway, no more rows are made."""
    session.execute(delete(FailedAttempt).where(FailedAttempt.at < now - KEPT))
    count, _ = failures(session, subject_digest, now - KEPT)
    if count < MOST_KEPT:
        session.add(FailedAttempt(subject_digest=subject_digest, at=now))


def forget(session: Session, subject_digest: str) -> None:
    """A success wipes the slate."""
    session.execute(delete(FailedAttempt).where(FailedAttempt.subject_digest == subject_digest))
