"""One practical with everything that belongs to it, for a teacher of its department."""

from __future__ import annotations

from app.practicals.lesson.permission import practical_to_see
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.whole import WholePractical, whole_practicals


def whole_practical(database: Database, *, actor: TeacherIdentity, practical_id: int) -> WholePractical:
    """The practical as it stands, read in one transaction."""
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        return whole_practicals(session, [practical_id])[0]
