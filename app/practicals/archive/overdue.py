"""Results that are due and that nobody came to look at: kept by the hourly upkeep, beside the pages."""

from __future__ import annotations

from sqlalchemy import select

from app.practicals.board.snapshot import class_snapshot
from app.practicals.people.sessions import identity
from app.records.engine import Database
from app.records.models import Practical, ResultDue

MOST_AT_ONCE = 200
"""Of so many classes the result is worked out in one go: about a minute of one processor (our own choice)."""


def keep_results_due(database: Database) -> int:
    """Keep what is due, the classes that wait longest first; how many were looked at."""
    wanted = (
        select(Practical)
        .join(ResultDue, ResultDue.practical_id == Practical.id)
        .order_by(ResultDue.at, Practical.id)
        .limit(MOST_AT_ONCE)
    )
    with database.reading() as session:
        waiting = [(row.id, identity(row.teacher)) for row in session.scalars(wanted)]
    for practical_id, teacher in waiting:
        class_snapshot(database, practical_id, actor=teacher)
    return len(waiting)
