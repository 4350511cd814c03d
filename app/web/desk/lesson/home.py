"""The teacher's first page: the practicals by how far they are."""

from __future__ import annotations

from flask import g, render_template
from flask.typing import ResponseReturnValue

from app.practicals.lesson import plan as plans
from app.practicals.made_up.rehearsal_rows import with_a_rehearsal
from app.records.choices import PracticalState
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint
from app.web.storage import database, settings


@blueprint.get("/")
@audience("teacher")
def home() -> ResponseReturnValue:
    """The teacher's own practicals; colleagues' stand on the department's page."""
    everyone = plans.practicals_of_department(database(), actor=g.teacher)
    own = [practical for practical in everyone if practical.teacher_id == g.teacher.teacher_id]
    return render_template(
        "desk/home.html",
        own=own,
        today=settings().local_day(now()),
        under_way=[practical for practical in own if practical.state.is_open],
        planned=[practical for practical in own if practical.state == PracticalState.PLANNED],
        rehearsing=with_a_rehearsal(database(), actor=g.teacher),
        finished=[practical for practical in own if practical.state == PracticalState.FINISHED],
    )
