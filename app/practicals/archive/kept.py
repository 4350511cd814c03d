"""What was kept of a practical's results, for those who may see it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from app.practicals.archive.figures import Figures, figures_in
from app.practicals.lesson.permission import practical_to_see
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import KeptCause
from app.records.engine import Database
from app.records.models import KeptResult, Teacher


@dataclass(frozen=True)
class Kept:
    """One result as it was kept; `teacher` is None where no teacher made it due."""

    kept_id: int
    cause: KeptCause
    at: datetime
    teacher: str | None
    analysis_version: int
    figures: Figures


def kept_results(database: Database, *, actor: TeacherIdentity, practical_id: int) -> list[Kept]:
    """All of them, the latest first."""
    wanted = (
        select(KeptResult, Teacher.name)
        .outerjoin(Teacher, Teacher.id == KeptResult.teacher_id)
        .where(KeptResult.practical_id == practical_id)
        .order_by(KeptResult.id.desc())
    )
    with database.reading() as session:
        practical_to_see(session, actor, practical_id)
        return [
            Kept(row.id, row.cause, row.at, name, row.analysis_version, figures_in(row))
            for row, name in session.execute(wanted)
        ]
