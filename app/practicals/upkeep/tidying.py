"""Deletes what is past its time: at every start, every hour after it, and whenever a teacher signs in."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import delete

from app.practicals.lesson.deletions import purge_expired
from app.practicals.people.credentials import BROWSER_KNOWN_FOR, FAILURES_KEPT
from app.practicals.people.sessions import SESSIONS_KEPT
from app.practicals.people.ways_in import LINKS_KEPT
from app.practicals.upkeep.retention import apply_rules
from app.records.engine import Database
from app.records.models import FailedAttempt, KnownBrowser, TeacherSession, WayIn


def tidy(database: Database, *, now: datetime, today: date) -> int:
    """Remove what is past its time; how many practicals went or lost their words. `today` is the school's."""
    practicals = purge_expired(database, today=today, now=now) + apply_rules(database, today=today, now=now)
    with database.writing() as session:
        session.execute(delete(TeacherSession).where(TeacherSession.created_at < now - SESSIONS_KEPT))
        session.execute(delete(KnownBrowser).where(KnownBrowser.last_sign_in_at <= now - BROWSER_KNOWN_FOR))
        session.execute(delete(WayIn).where(WayIn.expires_at < now - LINKS_KEPT))
        session.execute(delete(FailedAttempt).where(FailedAttempt.at < now - FAILURES_KEPT))
    return practicals
