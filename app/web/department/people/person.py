"""What is kept about one person of the department, to read and to take away; and taking the person out."""

from __future__ import annotations

import json

from flask import g, render_template, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.people.actors import is_removed
from app.practicals.people.log import note_download
from app.practicals.people.removal import NotThatPerson, kept_about, remove_person
from app.web.audience import audience, now
from app.web.department.blueprint import blueprint, done
from app.web.forms import TypedForm
from app.web.replies import as_file
from app.web.storage import database
from app.words import N_, Message

WHAT = {
    "teacher": Message(N_("the account: name, sign-in name, role")),
    "teacher_session": Message(N_("sign-ins")),
    "known_browser": Message(N_("browsers that are known")),
    "way_in": Message(N_("links given, and links made for others")),
    "second_step": Message(N_("second step at sign-in")),
    "spare_code": Message(N_("spare codes for it")),
    "practical": Message(N_("own practicals")),
    "cover": Message(N_("lessons covered for a colleague")),
    "first_class": Message(N_("the made-up class that plays itself")),
    "state_change": Message(N_("what was done with practicals")),
    "run_version": Message(N_("runs entered or corrected")),
    "decision": Message(N_("decisions about runs")),
    "deletion": Message(N_("practicals deleted, or deleted of this teacher")),
    "kept_result": Message(N_("results that were kept")),
    "result_due": Message(N_("results still to be kept")),
    "kit_check": Message(N_("checks of thermometers that were noted")),
    "log_entry": Message(N_("lines of the department's log")),
}
"""What the rows of a table are, in words."""


@blueprint.get("/people/<int:teacher_id>")
@audience("staff")
def person(teacher_id: int) -> ResponseReturnValue:
    """What is kept, and for a head the form that removes the person."""
    return _page(teacher_id, TypedForm.of({}, ("login",)))


@blueprint.get("/people/<int:teacher_id>/kept.json")
@audience("staff")
def person_file(teacher_id: int) -> ResponseReturnValue:
    """All of it as a file."""
    kept = kept_about(database(), actor=g.teacher, teacher_id=teacher_id)
    note_download(database(), actor=g.teacher, what="person", now=now(), teacher_id=kept.teacher_id)
    body = json.dumps(kept.tables, default=str, indent=1).encode()
    return as_file(body, "application/json", f"kept-about-{kept.teacher_id}.json")


@blueprint.post("/people/<int:teacher_id>/remove")
@audience("head")
def remove(teacher_id: int) -> ResponseReturnValue:
    """Take the person out of the account."""
    form = TypedForm.of(request.form, ("login",))
    try:
        remove_person(
            database(), actor=g.teacher, teacher_id=teacher_id, login=form.typed["login"], now=now()
        )
    except NotThatPerson as problem:
        form.refuse("login", problem.message)
        return _page(teacher_id, form), 422
    said = gettext("The person is removed. What was done stays under “a former teacher”.")
    return done(said, "department.teachers")


def _page(teacher_id: int, form: TypedForm) -> str:
    kept = kept_about(database(), actor=g.teacher, teacher_id=teacher_id)
    may_remove = g.teacher.is_head and teacher_id != g.teacher.teacher_id and not is_removed(kept.name)
    return render_template("department/person.html", kept=kept, what=WHAT, form=form, may_remove=may_remove)
