"""A rehearsal: simulated benches to try board and flags before the lesson, gone with one action."""

from __future__ import annotations

import secrets

from flask import flash, g, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.records.errors import Conflict
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint
from app.web.languages import say
from app.web.storage import database

SEEDS = 2**31


@blueprint.post("/<int:practical_id>/rehearse")
@audience("teacher")
def rehearse(practical_id: int) -> ResponseReturnValue:
    """Fill the practical with a simulated class; another press simulates another class."""
    from app.practicals import rehearsal  # noqa: PLC0415 - the simulator brings numpy with it

    try:
        rehearsal.rehearse(
            database(),
            actor=g.teacher,
            practical_id=practical_id,
            seed=secrets.randbelow(SEEDS),
            now=now(),
        )
    except Conflict as problem:
        flash(say(problem.message), "bad")
    else:
        flash(gettext("Simulated benches are in. Try the board and the decisions, then remove them."), "good")
    return redirect(url_for("desk.lesson", practical_id=practical_id))


@blueprint.post("/<int:practical_id>/rehearse/end")
@audience("teacher")
def end_rehearsal(practical_id: int) -> ResponseReturnValue:
    """Remove everything that was simulated."""
    from app.practicals import rehearsal  # noqa: PLC0415 - the simulator brings numpy with it

    rehearsal.end_rehearsal(database(), actor=g.teacher, practical_id=practical_id)
    flash(gettext("Everything that was simulated is gone."), "good")
    return redirect(url_for("desk.lesson", practical_id=practical_id))
