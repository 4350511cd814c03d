"""That a practical's result is to be kept, written in the transaction of what made it so."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from app.practicals.people.actors import Actor, TeacherIdentity
from app.records.choices import KeptCause, PracticalState
from app.records.models import Practical, ResultDue


def result_may_have_changed(
    session: Session,
    practical: Practical,
    actor: Actor,
    now: datetime,
    cause: KeptCause = KeptCause.DECIDED,
) -> None:
    """Note it where the practical is finished; its row is locked. Before that every result passes by."""
    if practical.state != PracticalState.FINISHED:
        return
    due = session.get(ResultDue, practical.id) or ResultDue(practical_id=practical.id)
    due.cause, due.at = cause, now
    due.teacher_id = actor.teacher_id if isinstance(actor, TeacherIdentity) else None
    session.add(due)
