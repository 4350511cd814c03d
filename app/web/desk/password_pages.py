"""A teacher's own password."""

from __future__ import annotations

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals import teachers
from app.practicals.teachers import TeacherProblem
from app.web.audience import audience, drop_token, now
from app.web.desk.blueprint import blueprint
from app.web.storage import database
from app.words import N_, Message

NOT_THE_SAME = Message(
    N_("The new password was typed differently the second time. Type the same password twice.")
)


@blueprint.get("/password")
@audience("teacher")
def password() -> ResponseReturnValue:
    """The form for a new password."""
    return render_template("desk/password.html", problem=None)


@blueprint.post("/password")
@audience("teacher")
def change_password() -> ResponseReturnValue:
    """Set a new password; every sign-in of this teacher ends with it."""
    old, new = request.form.get("old", "")[:1000], request.form.get("new", "")[:1000]
    if new != request.form.get("again", ""):
        return render_template("desk/password.html", problem=("again", NOT_THE_SAME)), 422
    try:
        teachers.change_password(database(), teacher=g.teacher, old=old, new=new, now=now())
    except TeacherProblem as problem:
        return render_template("desk/password.html", problem=("old", problem.message)), 422
    flash(gettext("The new password is set. Sign in with it."), "good")
    return drop_token(redirect(url_for("sign_in.form")), "teacher")
