"""A table of past runs becomes a finished practical: columns matched, rows looked at, all of it stored.

Between the steps the table goes with the form, as text in a hidden field. So no file and no row waits on the
server for somebody who never comes back, and it is all the same which of several servers answers.
"""

from __future__ import annotations

from functools import partial

from flask import g, render_template, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.exports.past.columns import ASIDE, BENCH, RUN
from app.exports.past.days import STYLE_NAMES
from app.exports.past.sheets import Sheet, Sheets, TableProblem, sheet_of
from app.physics.run import QUANTITIES
from app.practicals.bring_in.record import Outcome
from app.practicals.bring_in.table import bring_in_table
from app.records.errors import Conflict, Unprocessable
from app.web.audience import audience, now
from app.web.department.archive.filters import metals
from app.web.department.blueprint import blueprint, done
from app.web.department.bring_in.table_form import (
    COLUMN,
    EACH_ROW,
    Facts,
    TableForm,
    facts,
    offered,
    table_form,
)
from app.web.department.bring_in.table_rows import JudgedRow, judged, plan_of, runs_of
from app.web.forms import FormIncomplete, fingerprint, pressed
from app.web.languages import say
from app.web.storage import database
from app.web.uploads import takes_a_file
from app.words import N_, Message

TABLE, SEEN = "table", "seen"
TAKE, LOOK, STORE = "take", "look", "store"
LARGEST_FORM = 4 * 1024 * 1024
"""Bytes: a megabyte of text, of which a sign may take three as a form sends it, and the answers."""
NAMES_OF = {
    BENCH: Message(N_("Bench")),
    RUN: Message(N_("Run at that bench")),
    ASIDE: Message(N_("Set aside")),
    "shot_mass": Message(N_("Mass of the shot")),
    "tube_length": Message(N_("Inner length of the tube")),
    "end_allowance": Message(N_("End allowance (caps and settled shot)")),
    "inversions": Message(N_("Inversions")),
    "start_temperature": Message(N_("Temperature before")),
    "end_temperature": Message(N_("Temperature after")),
    "room_temperature": Message(N_("Room temperature")),
    "caps": Message(N_("Caps alone")),
    "settled_depth": Message(N_("Depth of the settled shot")),
}
MOST_PROBLEMS = 50
"""That the page lists above; each stands at its row as well (our own choice)."""


def first_page(found: Sheets) -> str:
    """After the upload: the columns of the one sheet, or which of several it is."""
    if len(found.sheets) > 1:
        return render_template("department/which_sheet.html", found=found)
    return _page(offered(found.sheets[0]), hidden=found.hidden)


@blueprint.post("/bring-in/table")
@audience("teacher")
@partial(takes_a_file, largest=LARGEST_FORM)
def match_table() -> ResponseReturnValue:
    """Take a sheet, show what its rows are under these answers, or store them."""
    action = pressed("action", {one: one for one in (TAKE, LOOK, STORE)})
    sheet = _sheet_sent()
    if action == TAKE:
        return _page(offered(sheet))
    form = table_form(sheet, request.form)
    told, rows = facts(form), judged(form)
    if told is None or form.problems or any(row.problems for row in rows):
        return _page(form, rows), 422
    seen = fingerprint(repr((sheet.text, sorted(form.typed.items()))))
    if action == LOOK or request.form.get(SEEN) != seen:
        return _page(form, rows, seen=seen)
    return _store(form, told, rows)


def _store(form: TableForm, told: Facts, rows: list[JudgedRow]) -> ResponseReturnValue:
    try:
        brought = bring_in_table(
            database(),
            actor=g.teacher,
            text=form.sheet.text,
            plan=plan_of(told, rows),
            runs=runs_of(rows),
            reason=gettext("Set aside in the table that was brought in."),
            now=now(),
        )
    except (Conflict, Unprocessable) as problem:
        return _page(form, rows, problem=problem.message), 422
    if brought.outcome is Outcome.STORED:
        said = gettext("Runs stored: %(count)s. The practical is finished.", count=len(rows))
    else:
        said = gettext("This table is here already. Nothing was stored again.")
    return done(said, "desk.lesson", practical_id=brought.practical_id)


def _sheet_sent() -> Sheet:
    try:
        return sheet_of(request.form.get(TABLE, ""), ",")
    except TableProblem:
        raise FormIncomplete() from None


def _page(
    form: TableForm,
    rows: list[JudgedRow] | None = None,
    *,
    seen: str = "",
    hidden: object = (),
    problem: Message | None = None,
) -> str:
    by_row = [(row.number, name, one) for row in rows or () for name, one in row.problems]
    return render_template(
        "department/past_table.html",
        form=form,
        rows=rows,
        seen=seen,
        hidden=hidden,
        problem=problem,
        by_row=by_row[:MOST_PROBLEMS],
        how_many=len(by_row),
        names=NAMES_OF,
        quantities=QUANTITIES,
        labels=(BENCH, RUN, ASIDE),
        column=COLUMN,
        each_row=EACH_ROW,
        places=[(str(at), f"{at + 1}: {heading or '–'}") for at, heading in enumerate(form.headings)],
        days=[(style.value, say(name)) for style, name in STYLE_NAMES.items()],
        metals=metals(),
        units={name: [(unit, unit) for unit in one.units] for name, one in QUANTITIES.items()},
        shown=[name for name in QUANTITIES if any(name in row.read for row in rows or ())],
    )
