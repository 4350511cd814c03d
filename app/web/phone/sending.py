"""A run sent: by the page's script, which may repeat itself, or by a plain form."""

from __future__ import annotations

from dataclasses import replace

from flask import flash, g, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_wtf.csrf import generate_csrf

from app.practicals.benches.own_bench import at_bench, newest_runs, note_progress
from app.practicals.runs.refusals import KeyUsedOtherwise, PracticalClosed
from app.practicals.runs.sending import enter_run
from app.practicals.runs.storing import SavedRun
from app.records.choices import PracticalState
from app.records.errors import Problem
from app.web.audience import audience, now
from app.web.languages import say
from app.web.numbers import figures_whole
from app.web.phone import draft
from app.web.phone.blueprint import blueprint
from app.web.phone.checked import Checked, check_typed
from app.web.phone.how import MOST_BARS, how_part
from app.web.phone.typed import FIELDS, TypedRun, from_form, has_own_key, names_at
from app.web.storage import database


@blueprint.get("/bench/token")
@audience("anyone")
def token() -> ResponseReturnValue:
    """A new form token, for a page that was open while the server was replaced."""
    return jsonify(token=generate_csrf())


@blueprint.post("/bench/look")
@audience("bench")
def look() -> ResponseReturnValue:
    """What the readings of one step, or of the whole run, are understood as. Nothing is stored."""
    names = names_at(request.form.get("step", "check"))
    seen = check_typed(from_form(request.form), names, at_bench(database(), actor=g.bench))
    whole = len(names) == len(FIELDS)
    return jsonify(
        problems={name: figures_whole(say(sentence)) for name, sentence in seen.problems.items()},
        asked=render_template("bench/_asked.html", seen=seen, FIELDS=FIELDS),
        check=render_template("bench/_check.html", seen=seen, FIELDS=FIELDS) if whole else "",
        ready=seen.ready if whole else not (seen.problems or seen.questions),
    )


@blueprint.post("/bench/progress")
@audience("bench")
def progress() -> ResponseReturnValue:
    """How far the phone is, for the teacher's desk."""
    form = request.form
    note_progress(
        database(),
        actor=g.bench,
        progress=form.get("progress", ""),
        counted_so_far=form.get("counted", type=int),
        waiting_to_send=form.get("waiting", 0, type=int),
        now=now(),
    )
    return jsonify(noted=True)


@blueprint.post("/bench/send")
@audience("bench")
def send() -> ResponseReturnValue:
    """Store one run once, and name it. An unlikely reading is data: it is stored, and asked about afterwards
    where the phone could not ask."""
    if refusal := _of_another_page():
        return refusal
    typed, at = from_form(request.form), at_bench(database(), actor=g.bench)
    seen = check_typed(typed, FIELDS, at)
    if seen.entry is None:
        return _refused(seen)
    try:
        saved = _enter(typed, seen)
    except PracticalClosed as closed:
        _note_waiting(1 + request.form.get("waiting", 0, type=int))
        return jsonify(problem=say(closed.message), over=closed.state == PracticalState.FINISHED), 409
    except KeyUsedOtherwise as used:
        return jsonify(problem=say(used.message), taken=True), 422
    told = {"run": saved.number, "version": saved.version, "ask": saved.left_to_ask, "waits": saved.waits}
    runs = newest_runs(database(), actor=g.bench, count=MOST_BARS, number=saved.number)
    return jsonify(saved={"key": typed.key, **told}, how=how_part(saved.number, replace(at, runs=runs)))


def _of_another_page() -> ResponseReturnValue | None:
    """Why this is no run that a page of this bench sent."""
    if not has_own_key(request.form):
        sentence = _("The page sent this run without its key. Reload the page and send it again.")
        return jsonify(problem=sentence), 422
    if request.form.get("bench") != str(g.bench.bench_id):
        sentence = _("These readings were typed at another bench than the one this phone is joined to now.")
        return jsonify(problem=sentence, other_bench=True), 409
    return None


def _refused(seen: Checked) -> ResponseReturnValue:
    """Each problem by its field; and all in one text with the fields' names, for another page to show."""
    problems = {name: say(sentence) for name, sentence in seen.problems.items()}
    named = [
        f"{say(FIELDS[name].label)}: {text}" if name in FIELDS else text for name, text in problems.items()
    ]
    return jsonify(problem=" ".join(named), problems=problems), 422


def _note_waiting(count: int) -> None:
    """The teacher should see that a phone holds runs which the practical did not take in."""
    note_progress(database(), actor=g.bench, progress=None, waiting_to_send=count, now=now())


def send_plainly(typed: TypedRun, seen: Checked) -> ResponseReturnValue:
    """The same for a page without script: store, say the number, show the bench's runs."""
    try:
        saved = _enter(typed, seen)
    except Problem as problem:
        flash(say(problem.message), "bad")
        return redirect(url_for("bench.run", step="check"))
    draft.drop()
    flash(_("Saved as run %(number)s.", number=saved.number), "good")
    return redirect(url_for("bench.how", number=saved.number))


def _enter(typed: TypedRun, seen: Checked) -> SavedRun:
    assert seen.entry is not None
    return enter_run(
        database(),
        actor=g.bench,
        key=typed.key,
        entry=seen.entry,
        now=now(),
        client_time=typed.client_time,
        start_read_at=typed.start_read_at,
        waiting_to_send=request.form.get("waiting", type=int),
        left_to_ask=bool(seen.questions),
    )
