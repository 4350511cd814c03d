"""A new code for the class, and with it an end to phones that joined since a moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from flask import flash, g, redirect, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext, ngettext

from app.practicals.benches.phones import EndedPhones, JoinedPhone, joined_phones, phones_since
from app.practicals.lesson import states
from app.practicals.lesson.details import PracticalDetails
from app.web.audience import now
from app.web.desk.blueprint import page, practical_here, refusal_on_next_page
from app.web.forms import TypedForm
from app.web.numbers import clock_time
from app.web.storage import database, settings
from app.words import N_, Message

NOBODY, TYPED = "nobody", "typed"
FIELDS = ("end", "since")
LATEST = timedelta(minutes=10)
"""How far back the suggestion goes that is not the whole lesson (our own choice)."""
NO_TIME = Message(N_("Write the time as hours and minutes, for example 10:25."))
STILL_TO_COME = Message(N_("That time is still to come. Write when the first of those phones joined."))
NOTHING_CHOSEN = Message(N_("Choose which phones stay. Nothing was changed."))


@dataclass(frozen=True)
class Since:
    """A moment that can be chosen, and the phones that joined since. `value` stands for it in the form."""

    value: str
    moment: datetime
    phones: EndedPhones


def replace_code(practical_id: int, back: str) -> ResponseReturnValue:
    """Ask about it once; then make the code, and end the phones that the form says."""
    practical = practical_here(practical_id)
    form = TypedForm.of(request.form, FIELDS, {"end": NOBODY})
    if request.form.get("sure") != "yes":
        shown = _typed_moment(form) if "show" in request.form else None
        return _form(practical, form, shown), 422 if form.problems else 200
    moment = _chosen(form)
    if form.problems:
        return _form(practical, form), 422
    with refusal_on_next_page(states.WrongState):
        states.replace_join_code(
            database(), actor=g.teacher, practical_id=practical_id, now=now(), end_joined_since=moment
        )
        if moment is not None:
            told = gettext(
                "The code is new, and the phones that joined since %(time)s are ended.",
                time=clock_time(moment),
            )
            flash(told, "good")
    return redirect(back)


def _form(practical: PracticalDetails, form: TypedForm, shown: datetime | None = None) -> str:
    joined = joined_phones(database(), actor=g.teacher, practical_id=practical.practical_id)
    return page(
        "desk/replace_code.html",
        practical,
        "live",
        form=form,
        joined=len(joined),
        suggested=_suggested(practical, joined),
        shown=None if shown is None else Since(TYPED, shown, phones_since(joined, shown)),
        benches_and_phones=benches_and_phones,
    )


def _suggested(practical: PracticalDetails, joined: Sequence[JoinedPhone]) -> list[Since]:
    """The last minutes and the whole lesson, where phones joined in them."""
    moments = [now().replace(microsecond=0) - LATEST, practical.opened_at]
    found = [
        Since(str(int(moment.timestamp())), moment, phones_since(joined, moment))
        for moment in moments
        if moment
    ]
    return [one for one in found if one.phones.phones]


def _chosen(form: TypedForm) -> datetime | None:
    """Since when phones are to be ended; None: none are, or the form has a problem."""
    end = form.typed["end"]
    if end == NOBODY:
        return None
    if end == TYPED:
        return _typed_moment(form)
    if end.isdecimal() and len(end) <= 12 and (moment := _moment(int(end))) is not None:
        return moment
    form.refuse("end", NOTHING_CHOSEN)
    return None


def _moment(seconds: int) -> datetime | None:
    """The moment of a suggestion, as the page gave it."""
    try:
        return datetime.fromtimestamp(seconds, tz=now().tzinfo)
    except (OverflowError, ValueError, OSError):
        return None


def _typed_moment(form: TypedForm) -> datetime | None:
    """The typed time of today, on the school's clock."""
    try:
        at = time.fromisoformat(form.typed["since"].strip())
    except ValueError:
        form.refuse("since", NO_TIME)
        return None
    moment = settings().moment_on(settings().local_day(now()), at.replace(tzinfo=None))
    if moment > now():
        form.refuse("since", STILL_TO_COME)
        return None
    return moment


def benches_and_phones(ended: EndedPhones) -> str:
    """How many phones, and of which benches."""
    if not ended.phones:
        return gettext("no phone")
    phones = ngettext("%(num)d phone", "%(num)d phones", ended.phones)
    numbers = ", ".join(map(str, ended.benches))
    benches = ngettext("bench %(numbers)s", "benches %(numbers)s", len(ended.benches), numbers=numbers)
    return f"{phones}, {benches}"
