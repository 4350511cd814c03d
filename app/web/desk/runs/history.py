"""The whole story of a practical, newest first."""

from __future__ import annotations

from datetime import date, datetime

from flask import flash, g, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.board.reveal import STEP_NAMES
from app.practicals.runs import history as histories
from app.practicals.runs.history import HistoryLine, remove_bench_words
from app.records.choices import BoardStep, HistoryKind
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, day, page, practical_here
from app.web.desk.runs.plan_changes import plan_changes
from app.web.languages import person, say
from app.web.numbers import clock_time
from app.web.storage import database
from app.words import N_, Message

KINDS: dict[str, Message] = {
    HistoryKind.PLANNED: Message(N_("Planned")),
    HistoryKind.BROUGHT_IN: Message(N_("Brought in from a file")),
    HistoryKind.PLAN_CHANGED: Message(N_("Plan changed")),
    HistoryKind.OPENED: Message(N_("Opened for benches")),
    HistoryKind.PAUSED: Message(N_("Paused")),
    HistoryKind.RESUMED: Message(N_("Carried on")),
    HistoryKind.FINISHED: Message(N_("Finished")),
    HistoryKind.REOPENED: Message(N_("Reopened")),
    HistoryKind.CODE_MADE: Message(N_("Code made")),
    HistoryKind.CODE_REPLACED: Message(N_("Code replaced")),
    HistoryKind.PHONES_ENDED: Message(N_("Phones ended with the old code")),
    HistoryKind.BENCH_RELEASED: Message(N_("Bench released for another phone")),
    HistoryKind.WORDS_REMOVED: Message(N_("Words of a bench removed")),
    HistoryKind.WORDS_REMOVED_BY_RULE: Message(N_("Words removed by the department's rule")),
    HistoryKind.BENCH_LET_IN: Message(N_("Bench beyond the plan let in")),
    HistoryKind.BENCH_REFUSED: Message(N_("Bench beyond the plan refused")),
    HistoryKind.BENCH_RENUMBERED: Message(N_("Bench number put right")),
    HistoryKind.ICE_POINT: Message(N_("Thermometer in melting ice")),
    HistoryKind.BOARD_STEPPED: Message(N_("Board")),
    HistoryKind.BOARD_PAUSED: Message(N_("Board held still")),
    HistoryKind.BOARD_FOLLOWS: Message(N_("Board follows the class again")),
    HistoryKind.PHONES_SHOW_RESULTS: Message(N_("Phones may show the class result")),
    HistoryKind.PHONES_HIDE_RESULTS: Message(N_("Phones no longer show the class result")),
    HistoryKind.RUN_ENTERED: Message(N_("Run entered")),
    HistoryKind.RUN_CORRECTED: Message(N_("Run corrected")),
    HistoryKind.OWN_CALCULATION: Message(N_("The bench's own calculation")),
    HistoryKind.SET_ASIDE: Message(N_("Set aside")),
    HistoryKind.COUNTED: Message(N_("Counted")),
    HistoryKind.COVER_GIVEN: Message(N_("Handed over for some days")),
    HistoryKind.COVER_ENDED: Message(N_("No longer covered")),
    HistoryKind.OWNER_CHANGED: Message(N_("Handed over for good")),
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
    return redirect(url_for("desk.history"))


def detail_of(line: HistoryLine) -> str:
    """A line's detail for reading: a plan's changes and board steps in words."""
    if line.kind == HistoryKind.BOARD_STEPPED and line.reason in tuple(BoardStep):
        return say(STEP_NAMES[BoardStep(line.reason)])
    if line.kind == HistoryKind.PLAN_CHANGED:
        return plan_changes(line.reason)
    if line.kind == HistoryKind.ICE_POINT:
        number, colon, change = line.reason.partition(": ")
        return f"{gettext('Bench %(number)s', number=number)}{colon}{change}"
    if line.kind == HistoryKind.BROUGHT_IN:
        return ""  # the key under which it is known elsewhere
    if line.kind == HistoryKind.WORDS_REMOVED:
        bench, _, run = line.reason.partition(" · ")
        return gettext("Bench %(bench)s, run %(run)s", bench=bench, run=run)
    if line.kind == HistoryKind.COVER_GIVEN:
        last_day, _, name = line.reason.partition(" ")
        until = day(date.fromisoformat(last_day))
        return gettext("to %(name)s until %(day)s", name=person(name), day=until)
    if line.kind == HistoryKind.PHONES_ENDED:
        moment, phones, benches = line.reason.split(" ", 2)
        since = clock_time(datetime.fromisoformat(moment))
        if phones == "0":
            return gettext("none had joined since %(time)s", time=since)
        return gettext(
            "%(phones)s, joined since %(time)s; benches: %(benches)s",
            phones=phones,
            time=since,
            benches=benches,
        )
    if line.kind in (HistoryKind.OWNER_CHANGED, HistoryKind.COVER_ENDED):
        return person(line.reason)
    return line.reason
