"""Finished practicals with a result that was kept, written past the use cases."""

from __future__ import annotations

from datetime import date

from sqlalchemy import update

from app.analysis.figure import Figure
from app.practicals.archive.figures import Figures, columns_of
from app.practicals.lesson.plan import plan_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import KeptCause, PracticalState
from app.records.engine import Database
from app.records.models import KeptResult, Practical
from tests.practicals.a_class import NOW, a_plan

RUNS = [(150.0, False), (160.0, False), (170.0, False), (180.0, False), (400.0, True), (None, False)]


def stored(
    database: Database,
    teacher: TeacherIdentity,
    class_value: Figure | None = None,
    specific_heat: Figure | None = None,
    heat_sink: Figure | None = None,
    *,
    held_on: date = date(2031, 3, 6),
    title: str = "Period 4",
    material: str = "lead",
) -> int:
    """The number of a finished practical with such a result; without a class value nothing was kept."""
    plan = a_plan(title=title, held_on=held_on, material=material)
    made = plan_practical(database, actor=teacher, plan=plan, now=NOW).practical_id
    figures = Figures(class_value, specific_heat, heat_sink, 128.0, benches=4, runs=4)
    result = {"runs": [{"apparent_heat_capacity_J_per_kg_K": c, "set_aside": aside} for c, aside in RUNS]}
    with database.writing() as session:
        session.execute(update(Practical).where(Practical.id == made).values(state=PracticalState.FINISHED))
        if class_value is not None:
            session.add(
                KeptResult(
                    practical_id=made,
                    cause=KeptCause.FINISHED,
                    at=NOW,
                    teacher_id=teacher.teacher_id,
                    analysis_version=1,
                    revision=2,
                    result=result,
                    **columns_of(figures),
                )
            )
    return made
