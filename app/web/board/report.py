"""The lesson report as a page and as a PDF."""

from __future__ import annotations

from flask import g, render_template
from flask.typing import ResponseReturnValue

from app.practicals.results import class_snapshot
from app.web.audience import audience
from app.web.board.pages import blueprint
from app.web.storage import database


@blueprint.get("/<int:practical_id>/report")
@audience("teacher")
def report(practical_id: int) -> ResponseReturnValue:
    """The report on a page."""
    snapshot = class_snapshot(database(), practical_id, actor=g.teacher)
    return render_template("board/report.html", snapshot=snapshot)
