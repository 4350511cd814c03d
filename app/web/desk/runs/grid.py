"""The grid: the runs of many benches typed, pasted or read from a file, and stored together or not at all."""

from __future__ import annotations

from collections.abc import Sequence

from flask import flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.exports.table_text import RunTableProblem
from app.physics.run import QUANTITIES
from app.practicals.benches.watch import benches_of
from app.practicals.lesson.details import PracticalDetails
from app.practicals.lesson.permission import NotYourPractical
from app.practicals.runs.reading import stored_runs
from app.practicals.runs.refusals import PracticalClosed
from app.practicals.runs.sending import OneRunRefused, enter_runs
from app.practicals.runs.storing import SavedRun
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, field_name, may_run, page, practical_here
from app.web.desk.runs.grid_file import add_file, too_many
from app.web.desk.runs.grid_form import (
    BENCH,
    MOST_ROWS,
    Grid,
    GridRow,
    OfClass,
    grid_from,
    in_grey,
    judge,
    new_grid,
)
from app.web.forms import pressed
from app.web.languages import say
from app.web.storage import database
from app.web.uploads import LARGEST_REQUEST, takes_a_file
from app.words import N_, Message

STORE, AS_TYPED, LEAVE_OUT, MORE, READ = "store", "as-typed", "leave-out", "more", "read"
ACTIONS = {action: action for action in (STORE, AS_TYPED, LEAVE_OUT, MORE, READ)}
FILE = "run_table"
LARGEST_FILE = LARGEST_REQUEST // 2
"""Bytes; the other half is for the rows that are sent with it."""
NOTHING_TYPED = Message(N_("No row has a reading yet. Type or paste one."))
_MOST_LISTED = 10
"""Problems that the page lists above the grid; each stands beside its cell as well (our own choice)."""


@blueprint.get("/<int:practical_id>/grid")
@audience("teacher")
def grid(practical_id: int) -> ResponseReturnValue:
    """An empty grid, a row for the next run of each bench."""
    practical = practical_here(practical_id)
    of_class = _of_class(practical)
    return _grid_page(practical, of_class, new_grid(of_class))


@blueprint.post("/<int:practical_id>/grid")
@audience("teacher")
@takes_a_file
def enter_grid(practical_id: int) -> ResponseReturnValue:
    """Store all rows, or show them again with what is wrong or asked; or add rows, empty or from a file."""
    practical = practical_here(practical_id)
    if not may_run(practical):
        raise NotYourPractical()
    action = pressed("action", ACTIONS)
    of_class, asked = _of_class(practical), request.form.getlist("asked")
    rows = grid_from(request.form, request.form.getlist("kept") + (asked if action == AS_TYPED else []))
    if rows.sent > MOST_ROWS:
        return _grid_page(practical, of_class, rows, wrong=too_many(rows.sent)), 422
    if action == MORE or not rows.rows:
        rows.add_rows(of_class.benches)
    if action == MORE:
        return _grid_page(practical, of_class, rows)
    if action == READ:
        return _read_file(practical, of_class, rows)
    if action == LEAVE_OUT:
        rows.leave_out(asked, of_class)
        if not rows.filled:
            flash(gettext("All of these runs were stored already."), "good")
            return redirect(url_for("desk.lesson"))
    return _judge_and_store(practical, of_class, rows)


def _of_class(practical: PracticalDetails) -> OfClass:
    here = practical.practical_id
    benches = benches_of(database(), actor=g.teacher, practical_id=here)
    return OfClass(
        practical.plan,
        stored_runs(database(), actor=g.teacher, practical_id=here),
        {bench.number: bench.ice_point_C for bench in benches if not bench.simulated},
    )


def _read_file(practical: PracticalDetails, of_class: OfClass, rows: Grid) -> ResponseReturnValue:
    """The grid with the file's rows, and what is wrong with or unlikely about any of them."""
    sent = request.files.get(FILE)
    try:
        said = add_file(rows, sent.read() if sent else b"")
    except RunTableProblem as problem:
        return _grid_page(practical, of_class, rows, of_file=problem.message), 422
    if not rows.rows:
        rows.add_rows(of_class.benches)
    judge(rows, of_class)
    status = 422 if rows.problems() else 200
    return _grid_page(practical, of_class, rows, judged=True, said=said), status


def _judge_and_store(practical: PracticalDetails, of_class: OfClass, rows: Grid) -> ResponseReturnValue:
    """Store the rows, or show them with what is wrong with any of them, else with what is asked."""
    judge(rows, of_class)
    if not rows.filled:
        return _grid_page(practical, of_class, rows, wrong=NOTHING_TYPED), 422
    if rows.problems():
        return _grid_page(practical, of_class, rows, judged=True), 422
    if rows.questions():
        return _grid_page(practical, of_class, rows, judged=True)
    return _store(practical, of_class, rows)


def _store(practical: PracticalDetails, of_class: OfClass, rows: Grid) -> ResponseReturnValue:
    """Store the rows, every one of them or none."""
    here = practical.practical_id
    try:
        saved = enter_runs(database(), actor=g.teacher, practical_id=here, runs=rows.to_store(), now=now())
    except PracticalClosed:
        return _grid_page(practical_here(here), of_class, rows), 409
    except OneRunRefused as refused:
        rows.filled[refused.place].problems[BENCH] = refused.message
        return _grid_page(practical, of_class, rows, judged=True), 422
    for sentence in _told(saved, practical.plan.planned_benches):
        flash(sentence, "good")
    return redirect(url_for("desk.lesson"))


def _told(saved: Sequence[SavedRun], planned_benches: int) -> list[str]:
    """What was stored, what was stored before, and which benches are beyond the plan."""
    told, before = [], sum(run.repeated for run in saved)
    if before < len(saved):
        told.append(gettext("Runs stored: %(count)s.", count=len(saved) - before))
    if before:
        told.append(gettext("Stored before, and not twice: %(count)s.", count=before))
    beyond = sorted({run.bench_number for run in saved if run.bench_number > planned_benches})
    if beyond:
        numbers = ", ".join(map(str, beyond))
        told.append(gettext("Beyond the plan, and let in with its runs: bench %(numbers)s.", numbers=numbers))
    return told


def _grid_page(
    practical: PracticalDetails,
    of_class: OfClass,
    rows: Grid,
    *,
    judged: bool = False,
    said: Sequence[Message] = (),
    wrong: Message | None = None,
    of_file: Message | None = None,
) -> str:
    """The page. `judged`: it says what is wrong with the rows, or asked about them."""
    if not judged:
        judge(rows, of_class)
    asked = rows.questions()
    problems = _listed(rows, rows.problems()) if judged else []
    problems += [(f"{BENCH}_{rows.rows[0].place}", say(wrong))] if wrong else []
    problems += [(FILE, say(of_file))] if of_file else []
    return page(
        "desk/grid.html",
        practical,
        "live",
        grid=rows,
        judged=judged,
        problems=problems,
        asking=judged and not problems and bool(asked),
        questions=_listed(rows, [one for one in asked if not (one[1] == BENCH and one[0].stored_as)]),
        said=said,
        of_file=of_file,
        not_yours=NotYourPractical.sentence,
        quantities=QUANTITIES.values(),
        most_rows=MOST_ROWS,
        largest_file=LARGEST_FILE,
        last_numbers=dict(of_class.stored.last_numbers),
        in_grey=in_grey(of_class.plan),
    )


def _listed(rows: Grid, found: Sequence[tuple[GridRow, str, Message]]) -> list[tuple[str, str]]:
    """The first of these cells, each with its place and its sentence, and how many more there are."""
    listed = []
    for row, name, sentence in found[:_MOST_LISTED]:
        what = gettext("Bench") if name == BENCH else field_name(name)
        where = gettext("Row %(row)s, %(what)s:", row=rows.rows.index(row) + 1, what=what)
        listed.append((f"{name}_{row.place}", f"{where} {say(sentence)}"))
    if len(found) > _MOST_LISTED:
        row, name, _sentence = found[_MOST_LISTED]
        rest = gettext("Further cells to look at: %(count)s", count=len(found) - _MOST_LISTED)
        listed.append((f"{name}_{row.place}", rest))
    return listed
