"""A teacher's way in and out, and the own password."""

from __future__ import annotations

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.lesson import deletions
from app.practicals.people import teachers
from app.practicals.people.teachers import TeacherProblem
from app.web.audience import audience, cookie_name, drop_token, now, place, set_token
from app.web.desk.blueprint import blueprint as desk
from app.web.forms import TypedForm
from app.web.security import local_address
from app.web.storage import database, settings
from app.words import N_, Message

blueprint = Blueprint("sign_in", __name__)


@blueprint.get("/sign-in")
@audience("anyone")
def form() -> ResponseReturnValue:
    """The sign-in form."""
    return render_template(
        "desk/sign_in.html", login="", then=local_address(request.args.get("then")), problem=None
    )


@blueprint.post("/sign-in")
@audience("anyone")
def sign_in() -> ResponseReturnValue:
    """Check the password and start a session."""
    login, then = request.form.get("login", "").strip()[:200], local_address(request.form.get("then"))
    try:
        signed = teachers.sign_in(
            database(),
            login=login,
            password=request.form.get("password", "")[:1000],
            address=place(),
            now=now(),
            earlier_token=request.cookies.get(cookie_name("teacher"), ""),
        )
    except teachers.SignInRefused as refusal:
        page = render_template("desk/sign_in.html", login=login, then=then, problem=refusal.message)
        return page, 429 if refusal.retry_after_seconds else 422
    deletions.tidy(database(), now=now(), today=settings().local_day(now()))
    return set_token(
        redirect(then or url_for("desk.home")), "teacher", signed.token, days=teachers.SESSION_HOURS / 24
    )


@blueprint.post("/sign-out")
@audience("teacher")
def sign_out() -> ResponseReturnValue:
    """End the session on the server and on this machine."""
    teachers.sign_out(database(), token=request.cookies.get(cookie_name("teacher"), ""), now=now())
    g.teacher = None
    return drop_token(redirect(url_for("sign_in.form")), "teacher")


FIELDS = ("old", "new", "again")
NOT_THE_SAME = Message(
    N_("The new password was typed differently the second time. Type the same password twice.")
)


@desk.get("/password")
@audience("teacher")
def password() -> ResponseReturnValue:
    """The form for a new password."""
    return render_template("desk/password.html", form=TypedForm.of({}, FIELDS))


@desk.post("/password")
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
