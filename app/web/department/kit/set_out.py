"""The sheet with which a technician sets out the kit for a lesson or a day, to print."""

from __future__ import annotations

from datetime import date

from flask import g, render_template, request
from flask.typing import ResponseReturnValue

from app.physics.materials import LOCAL_RULES_FIRST
from app.practicals.kit.set_out import set_out
from app.practicals.lesson.plan import practical_details
from app.web.audience import audience, now
from app.web.department.blueprint import blueprint
from app.web.kit_words import by_kind
from app.web.security import kept_number
from app.web.storage import database, settings
from app.words import N_, Message

RULES_FIRST = Message(N_("Local rules and the school's own risk assessment come first."))
AFTERWARDS = (
    Message(N_("Pour each bench's shot back into the lot it came from: lots are never mixed.")),
    Message(N_("Look at each tube and its caps for cracks; a cracked one is retired.")),
    Message(
        N_("Dry the thermometers and put them into their cases; broken glass is swept up, not picked up.")
    ),
    Message(N_("Sweep the floor for shot: people slip on it.")),
)
"""The usual order after such a lesson (common practice, no source)."""
AFTER_LEAD = (
    Message(N_("Weigh the lead back in: what is missing lies on the floor or left with somebody.")),
    Message(N_("Wipe benches and trays with a damp cloth, never dry, and wash your hands with soap.")),
)


@blueprint.get("/kit/set-out")
@audience("staff")
def set_out_sheet() -> ResponseReturnValue:
    """For the lesson named in the address, or for all lessons of a day; today's where none is named."""
    today = settings().local_day(now())
    practical_id = request.args.get("practical", type=kept_number)
    if practical_id is not None:
        practical_details(database(), actor=g.teacher, practical_id=practical_id)  # else there is none
    day = _day(request.args.get("day", ""), today)
    sheet = set_out(database(), actor=g.teacher, day=day, practical_id=practical_id)
    cautions = {
        str(sentence): sentence
        for metal in sheet.materials
        for sentence in metal.safety
        if sentence is not LOCAL_RULES_FIRST
    }
    lead = any(metal.key == "lead" for metal in sheet.materials)
    return render_template(
        "department/kit/set_out.html",
        sheet=sheet,
        one_lesson=practical_id is not None,
        rules_first=RULES_FIRST,
        cautions=list(cautions.values()),
        afterwards=(*AFTERWARDS, *(AFTER_LEAD if lead else ())),
        groups=by_kind(sheet.pieces),
    )


def _day(text: str, today: date) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return today
