"""The results that were kept of a practical, and one computed anew beside them."""

from __future__ import annotations

from flask import flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.analysis.version import ANALYSIS_VERSION
from app.practicals.archive.compared import compared
from app.practicals.archive.figures import Figures, figures_of
from app.practicals.archive.keeping import WorkedOut, keep_computed_anew, kept_results
from app.records.choices import KeptCause, PracticalState
from app.records.errors import Conflict
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, page, practical_here, refusal_on_next_page, snapshot_here
from app.web.storage import database
from app.words import N_, Message

CAUSES = {
    KeptCause.FINISHED: Message(N_("Finished")),
    KeptCause.DECIDED: Message(N_("Decided or changed afterwards")),
    KeptCause.ANEW: Message(N_("Computed anew")),
}


@blueprint.get("/<int:practical_id>/results")
@audience("teacher")
def kept(practical_id: int) -> ResponseReturnValue:
    """What was kept; with `anew` in the address, beside what today's analysis makes of the same readings."""
    practical = practical_here(practical_id)
    finished = practical.state == PracticalState.FINISHED
    anew = _computed(practical_id) if finished else None  # this look also keeps what is due
    rows = kept_results(database(), actor=g.teacher, practical_id=practical_id)
    chosen = next((row for row in rows if row.kept_id == request.args.get("anew", type=int)), None)
    return page(
        "desk/kept.html",
        practical,
        "history",
        rows=rows,
        causes=CAUSES,
        chosen=chosen,
        anew=anew,
        compared=compared(chosen.figures, anew) if chosen and anew else (),
        version=ANALYSIS_VERSION,
    )


@blueprint.post("/<int:practical_id>/results")
@audience("teacher")
def keep(practical_id: int) -> ResponseReturnValue:
    """Keep today's result beside the earlier ones."""
    snapshot = snapshot_here(practical_id)
    worked_out = WorkedOut(practical_id, snapshot.revision, snapshot.result)
    with refusal_on_next_page(Conflict):
        keep_computed_anew(database(), worked_out, actor=g.teacher, now=now())
        flash(gettext("The result is kept beside the earlier ones."), "good")
    return redirect(url_for("desk.kept"))


def _computed(practical_id: int) -> Figures | None:
    result = snapshot_here(practical_id).result
    return None if result is None else figures_of(result)
