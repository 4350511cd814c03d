"""Conducting the practical: open, pause, carry on, finish, reopen, a new code, delete."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flask import abort, flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals import bench_watch, conduct, deletions
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint
from app.web.desk.guard import page, practical_here
from app.web.desk.still_out import still_out
from app.web.languages import say
from app.web.storage import database

STEPS: dict[str, Callable[..., Any]] = {
    "open": conduct.open_practical,
    "pause": conduct.pause_practical,
    "resume": conduct.resume_practical,
    "finish": conduct.finish_practical,
    "reopen": conduct.reopen_practical,
    "replace-code": conduct.replace_join_code,
}
ASKED_FIRST = ("finish", "replace-code")


@blueprint.post("/<int:practical_id>/conduct/<step>")
@audience("teacher")
def take_step(practical_id: int, step: str) -> ResponseReturnValue:
    """One step of the practical. What cannot simply be taken back is asked about once."""
    if step not in STEPS:
        abort(404)
    if step in ASKED_FIRST and request.form.get("sure") != "yes":
        return page(
            "desk/sure.html",
            practical_here(practical_id),
            "live",
            step=step,
            out=still_out(bench_watch.benches_of(database(), actor=g.teacher, practical_id=practical_id)),
        )
    try:
        STEPS[step](database(), actor=g.teacher, practical_id=practical_id, now=now())
    except conduct.WrongState as problem:
        flash(say(problem.message), "bad")
    return redirect(_back(practical_id))


@blueprint.post("/<int:practical_id>/code-now")
@audience("teacher")
def code_now(practical_id: int) -> ResponseReturnValue:
    """A code for the printed cards before the lesson; the practical stays as it is."""
    try:
        conduct.make_join_code(database(), actor=g.teacher, practical_id=practical_id, now=now())
    except conduct.WrongState as problem:
        flash(say(problem.message), "bad")
    else:
        flash(
            gettext("The code is made. Benches can join once you open the practical on the lesson page."),
            "good",
        )
    return redirect(_back(practical_id))


@blueprint.route("/<int:practical_id>/delete", methods=["GET", "POST"])
@audience("teacher")
def delete(practical_id: int) -> ResponseReturnValue:
    """Delete a practical for good. It is asked about, and the title has to be typed."""
    practical = practical_here(practical_id)
    typed = request.form.get("title", "")
    right = " ".join(typed.split()).casefold() == " ".join(practical.title.split()).casefold()
    if request.method == "POST" and right:
        deletions.delete_practical(database(), actor=g.teacher, practical_id=practical_id, now=now())
        flash(gettext("“%(title)s” is deleted.", title=practical.title), "good")
        return redirect(url_for("desk.home"))
    wrong = request.method == "POST"
    return page("desk/delete.html", practical, "live", typed=typed, wrong=wrong), 422 if wrong else 200


def _back(practical_id: int) -> str:
    here = "desk.cards" if request.form.get("then") == "cards" else "desk.lesson"
    return url_for(here, practical_id=practical_id)
