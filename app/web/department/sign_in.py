"""A teacher's way in and out, and the own password."""

from __future__ import annotations

from datetime import timedelta

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext
from werkzeug import Response

from app.practicals.people import teachers
from app.practicals.people.browsers import KNOWN_FOR
from app.practicals.people.passwords import TooManySigningIn
from app.practicals.people.teachers import SignedIn, SignInRefused, TeacherProblem
from app.practicals.upkeep.tidying import tidy
from app.records.errors import Problem
from app.web import incidents
from app.web.audience import audience, cookie_name, drop_token, now, place, set_token
from app.web.desk.blueprint import blueprint as desk
from app.web.errors import retry_after
from app.web.forms import TypedForm
from app.web.security import local_address
from app.web.storage import database, settings
from app.words import N_, Message

blueprint = Blueprint("sign_in", __name__)
PROOF = "browser"
"""The cookie that says that a teacher signed in here before."""


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
        signed = _signed_in(login)
    except SignInRefused as refused:
        seconds = refused.retry_after_seconds
        incidents.sign_in_failed(seconds)
        return _form_again(login, then, refused), 429 if seconds else 422, retry_after(seconds)
    except TooManySigningIn as full:
        return _form_again(login, then, full), 503, retry_after(full.retry_after_seconds)
    incidents.signed_in(signed.teacher.teacher_id)
    tidy(database(), now=now(), today=settings().local_day(now()))
    answer = set_token(
        redirect(then or url_for("desk.home")), "teacher", signed.token, days=teachers.SESSION_HOURS / 24
    )
    return _keep_proof(answer, signed.proof)


def _signed_in(login: str) -> SignedIn:
    return teachers.sign_in(
        database(),
        login=login,
        password=request.form.get("password", "")[:1000],
        address=place(),
        now=now(),
        earlier_token=request.cookies.get(cookie_name("teacher"), ""),
        proof=request.cookies.get(cookie_name(PROOF), ""),
    )


def _form_again(login: str, then: str, problem: Problem) -> str:
    return render_template("desk/sign_in.html", login=login, then=then, problem=problem.message)


def _keep_proof(answer: Response, proof: str) -> Response:
    """In a cookie of its own, which signing out leaves there."""
    return set_token(answer, PROOF, proof, days=KNOWN_FOR / timedelta(days=1))


@blueprint.post("/sign-out")
@audience("staff")
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
@audience("staff")
def password() -> ResponseReturnValue:
    """The form for a new password."""
    return render_template("desk/password.html", form=TypedForm.of({}, FIELDS))


@desk.post("/password")
@audience("staff")
def change_password() -> ResponseReturnValue:
    """Set a new password; every sign-in of this teacher ends with it."""
    form = TypedForm.of(request.form, FIELDS)
    form.refuse_different("new", "again", NOT_THE_SAME)
    if form.problems:
        return render_template("desk/password.html", form=form), 422
    try:
        proof = teachers.change_password(
            database(),
            teacher=g.teacher,
            old=form.typed["old"],
            new=form.typed["new"],
            now=now(),
            proof=request.cookies.get(cookie_name(PROOF), ""),
        )
    except TeacherProblem as problem:
        form.refuse("old", problem.message)
        return render_template("desk/password.html", form=form), 422
    except TooManySigningIn as full:
        form.refuse("old", full.message)
        return render_template("desk/password.html", form=form), 503, retry_after(full.retry_after_seconds)
    flash(gettext("The new password is set. Sign in with it."), "good")
    return _keep_proof(drop_token(redirect(url_for("sign_in.form")), "teacher"), proof)


@desk.post("/password/everywhere")
@audience("staff")
def sign_out_everywhere() -> ResponseReturnValue:
    """End every session of this teacher; no browser is known any more."""
    teachers.sign_out_everywhere(database(), teacher=g.teacher, now=now())
    flash(gettext("You are signed out in every browser."), "good")
    return drop_token(redirect(url_for("sign_in.form")), "teacher")
