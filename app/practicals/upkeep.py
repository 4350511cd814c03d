"""What the records must not keep: practicals past their day, old sessions, forgotten attempts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import delete

from app.practicals.attempts import KEPT
from app.practicals.deletions import purge_expired
from app.practicals.teachers import KNOWN_BROWSER
from app.records.engine import Database
from app.records.models import FailedAttempt, TeacherSession


@dataclass(frozen=True)
class Tidied:
    """How many rows of each kind went."""

    practicals: int
    sessions: int
    attempts: int


def tidy(database: Database, *, now: datetime, today: date) -> Tidied:
    """Remove what is past its time; `today` is the school's date.

    Done at every start, every hour after it, and whenever a teacher signs in.
    """
    practicals = purge_expired(database, today=today, now=now)
    with database.writing() as session:
        sessions = session.execute(
            delete(TeacherSession)
            .where(TeacherSession.created_at < now - KNOWN_BROWSER)
            .returning(TeacherSession.id)
        ).all()
        attempts = session.execute(
            delete(FailedAttempt).where(FailedAttempt.at < now - KEPT).returning(FailedAttempt.id)
        ).all()
    return Tidied(practicals, len(sessions), len(attempts))
