"""The teacher's answer about runs that came too fast: all that wait at a bench, in one step."""

from __future__ import annotations

from flask import flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import ngettext

from app.practicals.runs.refusals import ReasonMissing
from app.practicals.runs.too_fast import NothingWaits, decide_waiting
from app.records.choices import DecisionAction
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, refusal_on_next_page
from app.web.forms import pressed
from app.web.languages import say
from app.web.storage import database
from app.words import N_, Message

ANSWERS = {
    "count": (DecisionAction.COUNTED, False),
    "set-aside": (DecisionAction.SET_ASIDE, False),
    "count-after-all": (DecisionAction.COUNTED, True),
}
"""Each button of the page: the decision, and whether it is about runs that were set aside before."""
WITHOUT_WORDS = {
    DecisionAction.COUNTED: Message(N_("The bench made them and sent them together.")),
    DecisionAction.SET_ASIDE: Message(N_("They came sooner than the bench can have made them.")),
}
"""The reason that is kept where the teacher types none: one tap decides during the lesson."""
WHERE = {"lesson": "desk.lesson", "decisions": "desk.decisions"}


@blueprint.post("/<int:practical_id>/bench/<int:number>/too-fast")
@audience("teacher")
def decide_too_fast(practical_id: int, number: int) -> ResponseReturnValue:
    """Let the bench's runs count, or set them aside."""
    action, again = pressed("waiting", ANSWERS)
    back = url_for(pressed("back", WHERE))
    with refusal_on_next_page(NothingWaits, ReasonMissing, category="ask"):
        runs = decide_waiting(
            database(),
            actor=g.teacher,
            practical_id=practical_id,
            bench_number=number,
            action=action,
            reason=request.form.get("reason", "").strip() or say(WITHOUT_WORDS[action]),
            up_to=request.form.get("up_to", 0, int),
            now=now(),
            again=again,
        )
        flash(_told(action, number, runs), "good")
    return redirect(back)


def _told(action: DecisionAction, bench: int, runs: int) -> str:
    if action == DecisionAction.COUNTED:
        return ngettext(
            "Bench %(bench)s: %(num)d run counts now.",
            "Bench %(bench)s: %(num)d runs count now.",
            runs,
            bench=bench,
        )
    return ngettext(
        "Bench %(bench)s: %(num)d run is set aside. It can still be counted, under Decisions.",
        "Bench %(bench)s: %(num)d runs are set aside. They can still be counted, under Decisions.",
        runs,
        bench=bench,
    )
