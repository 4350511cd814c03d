"""One's own account: the password, where one is signed in, the second step at sign-in."""

from __future__ import annotations

import segno
from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.look.tokens import BLACK, WHITE
from app.practicals.people import second_step, sessions, teachers
from app.practicals.people.teachers import OWN_PASSWORD
from app.web.audience import audience, drop_token, now, own_token
from app.web.department.blueprint import done
from app.web.department.people.browsers import in_words
from app.web.department.people.sign_in import PROOF, REFUSALS, keep_proof, refused
from app.web.desk.blueprint import blueprint
from app.web.forms import TypedForm, pressed
from app.web.storage import database, settings
from app.words import N_, Message

PASSWORDS = ("old", "new", "again")
OF_SECOND_STEP = ("password", "code")
NOT_THE_SAME = Message(
    N_("The new password was typed differently the second time. Type the same password twice.")
)
STEP_ACTIONS = {name: name for name in ("begin", "confirm", "new-codes", "take-off")}


@blueprint.get("/account")
@audience("staff")
def account() -> ResponseReturnValue:
    """Where one is signed in, and the ways to the rest."""
    idle = settings().idle
    return render_template(
        "desk/account.html",
        sessions=sessions.own_sessions(
            database(), actor=g.teacher, token=own_token("teacher"), now=now(), idle=idle
        ),
        in_words=in_words,
        step=second_step.second_step_of(database(), actor=g.teacher),
        idle_hours=idle.total_seconds() / 3600,
    )


@blueprint.post("/account/sessions/<int:session_id>/end")
@audience("staff")
def end_session(session_id: int) -> ResponseReturnValue:
    """Sign out in one browser."""
    sessions.end_own_session(database(), actor=g.teacher, session_id=session_id, now=now())
    return done(gettext("That browser is signed out."), "desk.account")


@blueprint.post("/account/sessions/end-others")
@audience("staff")
def end_other_sessions() -> ResponseReturnValue:
    """Sign out in every browser but this one."""
    sessions.end_other_sessions(database(), actor=g.teacher, token=own_token("teacher"), now=now())
    return done(gettext("Every other browser is signed out."), "desk.account")


@blueprint.get("/password")
@audience("staff")
def password() -> ResponseReturnValue:
    """The form for a new password."""
    return _password(TypedForm.of({}, PASSWORDS))


@blueprint.post("/password")
@audience("staff")
def change_password() -> ResponseReturnValue:
    """Set a new password; every sign-in of this teacher ends with it."""
    form = TypedForm.of(request.form, PASSWORDS)
    form.refuse_different("new", "again", NOT_THE_SAME)
    if form.problems:
        return _password(form), 422
    old, new = form.typed["old"], form.typed["new"]
    try:
        proof = teachers.change_password(
            database(), teacher=g.teacher, old=old, new=new, now=now(), proof=own_token(PROOF)
        )
    except REFUSALS as refusal:
        status = refused(form, refusal, {OWN_PASSWORD: "old", "password": "new"})
        return (_password(form), *status)
    flash(gettext("The new password is set. Sign in with it."), "good")
    return keep_proof(drop_token(redirect(url_for("sign_in.form")), "teacher"), proof)


def _password(form: TypedForm) -> str:
    return render_template("desk/password.html", form=form)


@blueprint.post("/password/everywhere")
@audience("staff")
def sign_out_everywhere() -> ResponseReturnValue:
    """End every session of this teacher; no browser is known any more."""
    sessions.sign_out_everywhere(database(), teacher=g.teacher, now=now())
    flash(gettext("You are signed out in every browser."), "good")
    return drop_token(redirect(url_for("sign_in.form")), "teacher")


@blueprint.get("/account/second-step")
@audience("staff")
def second_step_page() -> ResponseReturnValue:
    """How far the second step is set up; while it is, the code for the phone."""
    return _second_step(TypedForm.of({}, OF_SECOND_STEP))


@blueprint.post("/account/second-step")
@audience("staff")
def change_second_step() -> ResponseReturnValue:
    """Set it up, ask for other spare codes, or take it off, as the button says."""
    form = TypedForm.of(request.form, OF_SECOND_STEP)
    try:
        codes = _changed(pressed("action", STEP_ACTIONS), form)
    except REFUSALS as refusal:
        status = refused(form, refusal)
        return (_second_step(form), *status)
    if codes:
        return render_template("desk/spare_codes.html", codes=codes)
    return redirect(url_for("desk.second_step_page"), 303)


def _changed(action: str, form: TypedForm) -> tuple[str, ...]:
    """Do what the button says; spare codes where there are new ones to show."""
    by_password = {"actor": g.teacher, "password": form.typed["password"], "now": now()}
    if action == "confirm":
        return second_step.confirm_second_step(
            database(), actor=g.teacher, code=form.typed["code"], now=now()
        )
    if action == "new-codes":
        return second_step.new_spare_codes(database(), **by_password)
    if action == "begin":
        second_step.begin_second_step(database(), **by_password)
    else:
        second_step.take_off_own(database(), **by_password)
        flash(gettext("The second step is taken off. The password alone signs you in."), "good")
    return ()


def _second_step(form: TypedForm) -> str:
    own = second_step.second_step_of(database(), actor=g.teacher)
    drawing = ""
    if own.secret:
        address = second_step.address_for_phone(own.secret, g.teacher.login)
        drawing = segno.make(address, error="m").svg_data_uri(scale=5, border=4, dark=BLACK, light=WHITE)
    return render_template("desk/second_step.html", form=form, step=own, drawing=drawing)
