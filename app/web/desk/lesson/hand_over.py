"""Handing a lesson to a colleague: for some days, or for good."""

from __future__ import annotations

from datetime import date, timedelta

from flask import abort, flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.lesson import covers
from app.practicals.lesson.covers import HandOverProblem
from app.practicals.lesson.permission import is_own
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, day, page, practical_here
from app.web.forms import TypedForm
from app.web.storage import database, settings
from app.words import N_

FIELDS = ("to", "how", "last_day")
FOR_DAYS, FOR_GOOD = "days", "good"
LAST_DAY = date.max - timedelta(days=2)
"""The last one with a midnight after it, in every time zone."""


@blueprint.get("/<int:practical_id>/hand-over")
@audience("teacher")
def hand_over(practical_id: int) -> ResponseReturnValue:
    """The form: to whom, and until when."""
    today = settings().local_day(now()).isoformat()
    return _form(practical_id, TypedForm.of({}, FIELDS, {"how": FOR_DAYS, "last_day": today}))


@blueprint.post("/<int:practical_id>/hand-over")
@audience("teacher")
def hand_it_over(practical_id: int) -> ResponseReturnValue:
    """Hand it over as the form says."""
    form = TypedForm.of(request.form, FIELDS)
    about = {"actor": g.teacher, "practical_id": practical_id, "now": now()}
    to = int(form.typed["to"]) if form.typed["to"].isdecimal() and len(form.typed["to"]) < 10 else 0
    try:
        if form.typed["how"] == FOR_GOOD:
            name = covers.give_for_good(database(), to=to, **about)
            flash(gettext("The practical is %(name)s's now.", name=name), "good")
        else:
            last_day = _day(form.typed["last_day"])
            ends_at = settings().midnight_after(last_day)
            name = covers.give_cover(database(), to=to, last_day=last_day, ends_at=ends_at, **about)
            until = day(last_day)
            flash(gettext("%(name)s covers this practical until %(day)s.", name=name, day=until), "good")
    except HandOverProblem as problem:
        form.refuse(problem.field, problem.message)
        return _form(practical_id, form), 422
    return redirect(url_for("desk.lesson"), 303)


@blueprint.post("/<int:practical_id>/hand-over/end")
@audience("teacher")
def end_cover(practical_id: int) -> ResponseReturnValue:
    """End a cover before its day."""
    covers.end_cover(database(), actor=g.teacher, practical_id=practical_id, now=now())
    flash(gettext("The practical is covered by nobody any more."), "good")
    return redirect(url_for("desk.lesson"), 303)


def _form(practical_id: int, form: TypedForm) -> str:
    practical = practical_here(practical_id)
    if not is_own(g.teacher, practical):
        abort(403)
    people = covers.candidates(database(), actor=g.teacher, practical_id=practical_id)
    return page("desk/hand_over.html", practical, "live", form=form, people=people)


def _day(typed: str) -> date:
    try:
        return min(date.fromisoformat(typed), LAST_DAY)
    except ValueError:
        raise HandOverProblem("last_day", N_("Write the last day of the cover as year-month-day.")) from None
