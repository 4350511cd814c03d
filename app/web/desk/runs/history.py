"""The whole story of a practical, newest first."""

from __future__ import annotations

from flask import flash, g, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.board.reveal import STEP_NAMES
from app.practicals.runs import history as histories
from app.practicals.runs.history import HistoryLine
from app.practicals.runs.reading import OWN_CALCULATION
from app.practicals.runs.removal import remove_bench_words
from app.records.choices import BoardStep, DecisionAction
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, field_name
from app.web.desk.guard import page, practical_here
from app.web.languages import say
from app.web.storage import database
from app.words import N_, Message

KINDS: dict[str, Message] = {
    "planned": Message(N_("Planned")),
    "plan changed": Message(N_("Plan changed")),
    "opened": Message(N_("Opened for benches")),
    "paused": Message(N_("Paused")),
    "resumed": Message(N_("Carried on")),
    "finished": Message(N_("Finished")),
    "reopened": Message(N_("Reopened")),
    "code made": Message(N_("Code made")),
    "code replaced": Message(N_("Code replaced")),
    "bench released": Message(N_("Bench released for another phone")),
    "words removed": Message(N_("Words of a bench removed")),
    "bench renumbered": Message(N_("Bench number put right")),
    "board": Message(N_("Board")),
    "board paused": Message(N_("Board held still")),
    "board follows": Message(N_("Board follows the class again")),
    "phones show results": Message(N_("Phones may show the class result")),
    "phones hide results": Message(N_("Phones no longer show the class result")),
    "run entered": Message(N_("Run entered")),
    "run corrected": Message(N_("Run corrected")),
    OWN_CALCULATION: Message(N_("The bench's own calculation")),
    DecisionAction.SET_ASIDE: Message(N_("Set aside")),
    DecisionAction.COUNTED: Message(N_("Counted")),
}


@blueprint.get("/<int:practical_id>/history")
@audience("teacher")
def history(practical_id: int) -> ResponseReturnValue:
    """Every version, decision and step, newest first; nothing of it can be changed."""
    practical = practical_here(practical_id)
    lines = histories.history(database(), actor=g.teacher, practical_id=practical_id)
    return page(
        "desk/history.html",
        practical,
        "history",
        lines=list(reversed(lines)),
        kind_of=lambda line: say(KINDS[line.kind]) if line.kind in KINDS else line.kind,
        detail_of=detail_of,
    )


@blueprint.post("/<int:practical_id>/run/<int:run_id>/version/<int:version>/remove-words")
@audience("teacher")
def remove_words(practical_id: int, run_id: int, version: int) -> ResponseReturnValue:
    """Remove what the bench wrote about this correction."""
    remove_bench_words(
        database(), actor=g.teacher, practical_id=practical_id, run_id=run_id, version=version, now=now()
    )
    flash(gettext("The words are removed."), "good")
    return redirect(url_for("desk.history", practical_id=practical_id))


def detail_of(line: HistoryLine) -> str:
    """A line's detail for reading: field names and board steps in words."""
    if line.kind == "board" and line.reason in tuple(BoardStep):
        return say(STEP_NAMES[BoardStep(line.reason)])
    if line.kind == "plan changed":
        parts = (part.partition(": ") for part in line.reason.split("; "))
        return "; ".join(f"{field_name(name)}{colon}{change}" for name, colon, change in parts)
    if line.kind == "words removed":
        bench, _, run = line.reason.partition(" · ")
        return gettext("Bench %(bench)s, run %(run)s", bench=bench, run=run)
    return line.reason
