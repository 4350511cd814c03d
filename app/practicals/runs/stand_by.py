"""The bench's answer, after the run came in, that its unlikely readings are what it read."""

from __future__ import annotations

from app.practicals.lesson.permission import raise_revision
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.refusals import PracticalClosed
from app.practicals.runs.sending import run_to_change
from app.records.choices import PracticalState
from app.records.engine import Database


def stand_by(database: Database, *, actor: BenchIdentity, run_id: int) -> int:
    """Nothing is left to ask about this run; answers its number. Saying it twice is no harm.

    A finished practical is closed for this as for everything else of a bench's.
    """
    with database.writing() as session:
        practical, run, _bench = run_to_change(session, actor, run_id)
        if practical.state == PracticalState.FINISHED:
            raise PracticalClosed(practical.state)
        if run.left_to_ask:
            run.left_to_ask = False
            raise_revision(practical)
        return run.number
