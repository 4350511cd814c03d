"""The wall from the desk: the board's steps, and whether phones may show the class result."""

from __future__ import annotations

from flask import abort, g, redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.practicals.board import reveal
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint
from app.web.storage import database

STEPS = {"forward": 1, "back": -1}
PAUSES = {"hold": True, "follow": False}
PHONES = {"phones-show": True, "phones-hide": False}


@blueprint.post("/<int:practical_id>/wall")
@audience("teacher")
def wall(practical_id: int) -> ResponseReturnValue:
    """One thing about the wall or the phones, as the button says."""
    what = request.form.get("what", "")
    if what in STEPS:
        reveal.step_board(database(), actor=g.teacher, practical_id=practical_id, now=now(), by=STEPS[what])
    elif what in PAUSES:
        reveal.pause_board(
            database(), actor=g.teacher, practical_id=practical_id, paused=PAUSES[what], now=now()
        )
    elif what in PHONES:
        reveal.show_bench_results(
            database(), actor=g.teacher, practical_id=practical_id, shown=PHONES[what], now=now()
        )
    else:
        abort(404)
    return redirect(url_for("desk.lesson", practical_id=practical_id))
