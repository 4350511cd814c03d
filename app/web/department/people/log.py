"""The head's page of the department's log: who did what, the latest first."""

from __future__ import annotations

from datetime import date

from flask import g, render_template, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.people.log import log_page
from app.records.choices import LogKind
from app.web.audience import audience
from app.web.department.blueprint import blueprint
from app.web.department.people.teachers import ROLE_NAMES
from app.web.desk.blueprint import day
from app.web.languages import say
from app.web.security import kept_number
from app.web.storage import database
from app.words import N_, Message

SENTENCES = {
    LogKind.SIGNED_IN: Message(N_("signed in")),
    LogKind.SIGN_IN_FAILED: Message(N_("sign-in failed")),
    LogKind.SIGNED_OUT_EVERYWHERE: Message(N_("signed out everywhere")),
    LogKind.PASSWORD_CHANGED: Message(N_("changed the own password")),
    LogKind.TEACHER_INVITED: Message(N_("invited someone")),
    LogKind.TEACHER_ADDED: Message(N_("added to the department")),
    LogKind.ROLE_CHANGED: Message(N_("given a role")),
    LogKind.SWITCHED_OFF: Message(N_("switched off")),
    LogKind.SWITCHED_ON: Message(N_("switched on again")),
    LogKind.PASSWORD_RESET: Message(N_("given a new way in")),
    LogKind.SECOND_STEP_ON: Message(N_("second step at sign-in set up")),
    LogKind.SECOND_STEP_OFF: Message(N_("second step at sign-in taken off")),
    LogKind.HANDED_OVER: Message(N_("lesson handed over")),
    LogKind.PRACTICAL_DELETED: Message(N_("practical deleted")),
    LogKind.DELETED_BY_RULE: Message(N_("practical deleted by rule")),
    LogKind.WORDS_REMOVED_BY_RULE: Message(N_("words of a practical removed by rule")),
    LogKind.DOWNLOADED: Message(N_("downloaded")),
    LogKind.IMPORTED: Message(N_("brought in")),
    LogKind.BACKED_UP: Message(N_("backed up")),
    LogKind.RESTORED: Message(N_("restored from a backup")),
    LogKind.KEPT_RULE_CHANGED: Message(N_("changed how long practicals are kept")),
    LogKind.PERSON_REMOVED: Message(N_("removed a person from the records")),
    LogKind.PIECE_ADDED: Message(N_("added a piece to the kit")),
    LogKind.PIECE_CHANGED: Message(N_("changed a piece of the kit")),
    LogKind.PIECE_CHECKED: Message(N_("noted a thermometer's check")),
    LogKind.PIECE_RETIRED: Message(N_("retired a piece of the kit")),
    LogKind.PIECE_IN_USE_AGAIN: Message(N_("took a piece of the kit into use again")),
    LogKind.PIECE_DELETED: Message(N_("deleted a piece of the kit")),
}
DETAILS = {
    **{role.value: name for role, name in ROLE_NAMES.items()},
    "spare code": Message(N_("with a spare code")),
    "for good": Message(N_("for good")),
    "csv": Message(N_("runs as CSV")),
    "decisions": Message(N_("decisions as CSV")),
    "xlsx": Message(N_("runs as a workbook")),
    "json": Message(N_("everything of a practical, as JSON")),
    "zip": Message(N_("several practicals, as a ZIP file")),
    "report": Message(N_("report as PDF")),
    "document": Message(N_("a practical's document")),
    "table": Message(N_("a table of past runs")),
    "person": Message(N_("what is kept about a person")),
}
"""Details that are a word of ours; any other stands as it was written."""
UNTIL = "until "
"""Before the last day of a cover, in a detail."""


@blueprint.get("/log")
@audience("head")
def log() -> ResponseReturnValue:
    """A page of the log; `kind` narrows it, `before` and `after` turn the pages."""
    wanted = request.args.get("kind", "")
    kind = LogKind(wanted) if wanted in tuple(LogKind) else None
    page = log_page(
        database(),
        actor=g.teacher,
        kind=kind,
        before=request.args.get("before", type=kept_number),
        after=request.args.get("after", type=kept_number),
    )
    return render_template("department/log.html", page=page, kind=kind, sentences=SENTENCES, detail=_detail)


def _detail(text: str) -> str:
    if text.startswith(UNTIL):
        return gettext("until %(day)s", day=day(date.fromisoformat(text.removeprefix(UNTIL))))
    return say(DETAILS[text]) if text in DETAILS else text
