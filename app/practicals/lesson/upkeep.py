"""What the records must not keep: practicals past their day, old sessions, forgotten attempts."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import delete

from app.practicals.lesson.deletions import purge_expired
from app.practicals.people.attempts import KEPT
from app.practicals.people.teachers import KNOWN_BROWSER
from app.records.engine import Database
from app.records.models import FailedAttempt, TeacherSession


def tidy(database: Database, *, now: datetime, today: date) -> int:
    """Remove what is past its time, and say how many practicals went; `today` is the school's date.

    Done at every start, every hour after it, and whenever a teacher signs in.
    """
    practicals = purge_expired(database, today=today, now=now)
    with database.writing() as session:
        session.execute(delete(TeacherSession).where(TeacherSession.created_at < now - KNOWN_BROWSER))
        session.execute(delete(FailedAttempt).where(FailedAttempt.at < now - KEPT))
    return practicals
