"""What the records must not keep: practicals past their day, old sessions, forgotten attempts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete

from app.practicals.attempts import KEPT
from app.practicals.plan import purge_expired
from app.practicals.teachers import KNOWN_BROWSER
from app.records.engine import Database
from app.records.models import FailedAttempt, TeacherSession


@dataclass(frozen=True)
class Tidied:
    """How many rows of each kind went."""

    practicals: int
    sessions: int
    attempts: int


def tidy(database: Database, *, now: datetime) -> Tidied:
    """Remove what is past its time. Run at every start and whenever a teacher signs in."""
    practicals = purge_expired(database, today=now.date())
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
