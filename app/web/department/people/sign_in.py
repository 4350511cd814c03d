"""A teacher's way in and out: name and password, where it is set up the code of the second step."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from flask import Blueprint, current_app, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug import Response

from app.practicals.made_up.first.playing import is_new_here
from app.practicals.people import second_step, sessions, teachers
from app.practicals.people.credentials import BROWSER_KNOWN_FOR
from app.practicals.people.first_head import nobody_yet
from app.practicals.people.passwords import TooManySigningIn
from app.practicals.people.sessions import CODE_MINUTES, SESSION_HOURS
from app.practicals.people.teachers import OWN_PASSWORD, SignedIn, SignInRefused, TeacherProblem
from app.practicals.upkeep.tidying import tidy
from app.web import incidents
from app.web.audience import audience, drop_token, now, own_token, place, set_token
from app.web.department.people.browsers import browser_of
from app.web.errors import retry_after
from app.web.forms import TypedForm
from app.web.languages import say
from app.web.security import local_address
from app.web.storage import database, settings

blueprint = Blueprint("sign_in", __name__)
PROOF = "browser"
"""The cookie that says that a teacher signed in here before."""
FIRST_CODE = "plumbfall_first_code"
"""Where `serve` puts the digest of the code that it printed for the first head."""
WAITING = "second-step"
"""The cookie of a sign-in that waits for its code."""
Refusal = TeacherProblem | SignInRefused | TooManySigningIn
REFUSALS = (TeacherProblem, SignInRefused, TooManySigningIn)
"""Why a password, a code or a name is not taken."""


def status_of(refusal: Refusal) -> tuple[int, dict[str, str]]:
    """The status of the page that says it, and the header that says when to try again."""
    if isinstance(refusal, TooManySigningIn):
        return 503, retry_after(refusal.retry_after_seconds)
    if isinstance(refusal, SignInRefused) and refusal.retry_after_seconds:
        return 429, retry_after(refusal.retry_after_seconds)
    return 422, {}


def refused(
    form: TypedForm, refusal: Refusal, fields: Mapping[str, str] = {OWN_PASSWORD: "password"}
) -> tuple[int, dict[str, str]]:
    """Put a refusal by its field, which has another name in some forms; then the same as `status_of`."""
    if isinstance(refusal, TeacherProblem):
        about = refusal.field
    else:
        about = "code" if isinstance(refusal, SignInRefused) else OWN_PASSWORD
    form.refuse(fields.get(about, about), refusal.message)
    return status_of(refusal)


@blueprint.get("/sign-in")
@audience("anyone")
def form() -> ResponseReturnValue:
    """The sign-in form; where nobody can sign in yet, the way to the first head."""
    if FIRST_CODE in current_app.extensions and nobody_yet(database()):
        return redirect(url_for("sign_in.first_head"))
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
    except (SignInRefused, TooManySigningIn) as refusal:
        if isinstance(refusal, SignInRefused):
            incidents.sign_in_failed(refusal.retry_after_seconds)
        page = render_template("desk/sign_in.html", login=login, then=then, problem=refusal.message)
        return (page, *status_of(refusal))
    if signed.waits_for_code:
        answer = redirect(url_for("sign_in.code_form", then=then or None))
        return set_token(answer, WAITING, signed.token, timedelta(minutes=CODE_MINUTES))
    return _let_in(signed, then)


def _signed_in(login: str) -> SignedIn:
    return teachers.sign_in(
        database(),
        login=login,
        password=request.form.get("password", "")[:1000],
        address=place(),
        now=now(),
        earlier_token=own_token("teacher"),
        proof=own_token(PROOF),
        where=browser_of(request.user_agent.string),
    )


def _let_in(signed: SignedIn, then: str) -> Response:
    incidents.signed_in(signed.teacher.teacher_id)
    tidy(database(), now=now(), today=settings().local_day(now()))
    new_here = is_new_here(database(), actor=signed.teacher)
    answer = redirect(then or url_for("desk.first" if new_here else "desk.home"))
    set_token(answer, "teacher", signed.token, timedelta(hours=SESSION_HOURS))
    return keep_proof(answer, signed.proof)


def keep_proof(answer: Response, proof: str) -> Response:
    """Keep the proof in a cookie of its own, which signing out leaves in the browser."""
    return set_token(answer, PROOF, proof, BROWSER_KNOWN_FOR)


@blueprint.get("/sign-in/code")
@audience("anyone")
def code_form() -> ResponseReturnValue:
    """The form for the code of the second step."""
    then = local_address(request.args.get("then"))
    return render_template("desk/sign_in_code.html", then=then, problem=None)


@blueprint.post("/sign-in/code")
@audience("anyone")
def sign_in_with_code() -> ResponseReturnValue:
    """Check the code and start the session that waits for it."""
    then, code = local_address(request.form.get("then")), request.form.get("code", "")[:200]
    try:
        signed = second_step.finish_sign_in(
            database(), token=own_token(WAITING), code=code, now=now(), proof=own_token(PROOF)
        )
    except second_step.TooLateForCode as late:
        flash(say(late.message), "bad")
        return drop_token(redirect(url_for("sign_in.form", then=then or None)), WAITING)
    except SignInRefused as refusal:
        incidents.sign_in_failed(refusal.retry_after_seconds)
        page = render_template("desk/sign_in_code.html", then=then, problem=refusal.message)
        return (page, *status_of(refusal))
    return drop_token(_let_in(signed, then), WAITING)


@blueprint.post("/sign-out")
@audience("staff")
def sign_out() -> ResponseReturnValue:
    """End the session on the server and on this machine."""
    sessions.sign_out(database(), token=own_token("teacher"), now=now())
    g.teacher = None
    return drop_token(redirect(url_for("sign_in.form")), "teacher")
