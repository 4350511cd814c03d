"""A teacher's own password."""

from __future__ import annotations

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.people import teachers
from app.practicals.people.teachers import TeacherProblem
from app.web.audience import audience, drop_token, now
from app.web.desk.blueprint import blueprint
from app.web.forms import TypedForm
from app.web.storage import database
from app.words import N_, Message

FIELDS = ("old", "new", "again")
NOT_THE_SAME = Message(
    N_("The new password was typed differently the second time. Type the same password twice.")
)


@blueprint.get("/password")
@audience("teacher")
def password() -> ResponseReturnValue:
    """The form for a new password."""
    return render_template("desk/password.html", form=TypedForm.of({}, FIELDS))


@blueprint.post("/password")
@audience("teacher")
def change_password() -> ResponseReturnValue:
    """Set a new password; every sign-in of this teacher ends with it."""
    form = TypedForm.of(request.form, FIELDS)
    form.refuse_different("new", "again", NOT_THE_SAME)
    if form.problems:
        return render_template("desk/password.html", form=form), 422
    try:
        teachers.change_password(
            database(), teacher=g.teacher, old=form.typed["old"], new=form.typed["new"], now=now()
        )
    except TeacherProblem as problem:
        form.refuse("old", problem.message)
        return render_template("desk/password.html", form=form), 422
    flash(gettext("The new password is set. Sign in with it."), "good")
    return drop_token(redirect(url_for("sign_in.form")), "teacher")
