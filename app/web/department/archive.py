"""The department's page: every practical of the department, by school year and metal."""

from __future__ import annotations

from flask import Blueprint, g, render_template, request
from flask.typing import ResponseReturnValue

from app.practicals.lesson import deletions
from app.practicals.lesson import plan as plans
from app.practicals.lesson.details import PracticalDetails
from app.practicals.made_up.rehearsal_rows import practicals_in_rehearsal
from app.web.audience import audience
from app.web.storage import backups, database

blueprint = Blueprint("department", __name__, url_prefix="/department")


@blueprint.get("/")
@audience("staff")
def archive() -> ResponseReturnValue:
    """All practicals of the teacher's department; the words narrow the list."""
    everything = plans.practicals_of_department(database(), actor=g.teacher)
    words = request.args.get("words", "")[:200]
    return render_template(
        "department/archive.html",
        practicals=[practical for practical in everything if _matches(practical, words)],
        how_many=len(everything),
        rehearsing=practicals_in_rehearsal(database(), actor=g.teacher),
        words=words,
        backup_problem=made.problem if (made := backups()) is not None and g.teacher.is_head else None,
    )


@blueprint.get("/deleted")
@audience("head")
def deleted() -> ResponseReturnValue:
    """What was deleted in the department, by whom or by which rule."""
    return render_template(
        "department/deleted.html", deleted=deletions.deletions(database(), actor=g.teacher)
    )


def _matches(practical: PracticalDetails, words: str) -> bool:
    """Whether every word stands in the title, the teacher's name, the metal or the day."""
    plan = practical.plan
    text = " ".join((plan.title, practical.teacher_name, plan.material, plan.held_on.isoformat()))
    return all(word in text.casefold() for word in words.casefold().split())
